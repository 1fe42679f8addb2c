/* What a controller on the bench senses and drives.
 *
 * Your firmware fills the functions at the end of this file. The bench calls them,
 * reads bench_out and fills bench_in and bench_store. Nothing else is shared. All
 * numbers are little-endian; there is no padding that is not named.
 *
 * One C file of yours says BENCH_IO(...): that defines the structs and tells the
 * bench what it serves. docs/firmware.md leads through it.
 */
#ifndef BENCH_IO_H
#define BENCH_IO_H

#include <stddef.h>
#include <stdint.h>

/* The version of these structs. The bench refuses another. */
#define BENCH_IO_VERSION 1

/* Converter scales: 10 bits. */
#define BENCH_CONVERTER_MAX 1023
#define BENCH_SUPPLY_FULL_MV 20000  /* supply at full scale: 19.55 mV a count */
#define BENCH_CURRENT_FULL_MA 40000 /* current at full scale: 39.1 mA a count */
#define BENCH_EDGE_FREE 512         /* sensing edge: its terminating resistor is seen */
#define BENCH_EDGE_PRESSED 137      /* strip closed over the resistor */
#define BENCH_EDGE_SHORT 3          /* shorted */
#define BENCH_EDGE_OPEN 1020        /* wire off, or no edge fitted */

#define BENCH_STORE_SIZE 64 /* bytes of non-volatile memory */
#define BENCH_SIDES 2       /* curbside 0, roadside 1 */
#define BENCH_BAYS 4        /* door lines of a side, at most */

/* A changeover switch: exactly one contact is made, or something is wrong with it. */
typedef struct {
    uint8_t made, released;
} bench_end_switch;

/* Two complementary wires: down is 1 and 0, not down 0 and 1; equal levels say nothing. */
typedef struct {
    uint8_t down, not_down;
} bench_door_lines;

/* What the lock controller is told about one side. */
typedef struct {
    uint8_t lock_request, unlock_request; /* cab switch, momentary */
    bench_end_switch unlocked, locked;    /* of the lock bar */
    uint8_t bays;                         /* door lines that are connected */
    uint8_t reserved;
    bench_door_lines down[BENCH_BAYS];
} bench_side_inputs;

/* All that a controller is told at a tick. A door controller finds sides zero, the
 * lock controller everything between supply and sides but tick and store_busy. */
typedef struct {
    uint32_t tick;                     /* since power-on, from 0 */
    uint16_t supply;                   /* converter: at its own terminals */
    uint16_t current;                  /* converter: from the supply into the power stage */
    uint16_t edge;                     /* converter: sensing edge */
    uint8_t pulses;                    /* of the encoder since the last tick, one channel */
    int8_t net;                        /* up less down since then, where there are two channels */
    uint8_t two_channels;              /* strap: the encoder has two channels */
    uint8_t edge_fitted;               /* strap: a sensing edge is fitted */
    uint8_t sill;                      /* sill switch made */
    uint8_t press;                     /* receiver: a valid code is being received */
    uint8_t teach;                     /* teach button held */
    uint8_t permit;                    /* the lock controller lets the doors of this side move */
    bench_end_switch unlocked, locked; /* lock bar of this side */
    uint8_t store_busy;                /* the last byte is still being written */
    uint8_t reserved;
    bench_side_inputs sides[BENCH_SIDES];
} bench_inputs;

/* What the lock controller drives on one side. */
typedef struct {
    int8_t drive;    /* +1 lock, -1 unlock, 0 off */
    uint8_t lamp;
    uint8_t permit;  /* the doors of this side may move */
    uint8_t reserved;
} bench_side_outputs;

/* All that a controller can do. It stays as it is until you change it. */
typedef struct {
    uint8_t up, down, enable;    /* coils of the power stage */
    uint8_t duty;                /* %, 0 to 100 */
    uint8_t tone, lamp;
    bench_door_lines lines;      /* to the lock controller */
    uint8_t write;               /* write one byte of bench_store; ignored while store_busy */
    uint8_t write_at, write_byte;
    uint8_t asleep;              /* with BENCH_SLEEPS: ticks may be passed over, see there */
    bench_side_outputs sides[BENCH_SIDES];
    int32_t counts;              /* with BENCH_TELLS: pulses above the floor, as it believes */
    uint16_t state[BENCH_SIDES]; /* with BENCH_TELLS: of its state machine; a door has one */
} bench_outputs;

/* What a controller serves and offers. */
#define BENCH_DOOR 1    /* it can be a door controller */
#define BENCH_LOCKS 2   /* it can be the lock controller */
#define BENCH_TELLS 4   /* it fills counts and state, for plots; nothing is judged by them */
#define BENCH_RECORDS 8 /* it has bench_provision and bench_taught */
#define BENCH_SLEEPS 16 /* it fills asleep */

/* Sleeping. A controller at rest sleeps until something happens, and on the bench that
 * saves most of its time. By asleep = n, 1 to 255, it says: as long as no wire changes,
 * leave my outputs as they are, and do not call me. It is woken at the first tick at which
 * anything in bench_in has changed but tick, supply and current, or pulses or net is not 0.
 * Then it is called first for the last n ticks that were passed over (or as many as there
 * were), each with its own tick, supply and current, to fill filters; what it drives in
 * those is not looked at. The jump in tick tells it how many it has not seen: clocks and
 * counts of ticks must make up for them. So asleep must be 0 while anything is to come by
 * time alone (a flash, a tone, a pause, a byte to be written) or by supply or current. With
 * write it counts for nothing. It is looked at after every tick, as every output is. */

#define BENCH_MAGIC 0x314F4942u /* "BIO1" */

/* What it says of itself before anything else. */
typedef struct {
    uint32_t magic;
    uint16_t version, inputs_size, outputs_size, store_size;
    uint32_t serves;
    uint32_t inputs, outputs, store; /* addresses in a module's memory; of no meaning in a program */
} bench_layout_t;

#ifdef __cplusplus
#define BENCH_ASSERT static_assert
extern "C" {
#else
#define BENCH_ASSERT _Static_assert
#endif

/* If one of these fails, your compiler pads or orders the structs otherwise. */
BENCH_ASSERT(sizeof(bench_side_inputs) == 16, "bench_side_inputs");
BENCH_ASSERT(sizeof(bench_inputs) == 56, "bench_inputs");
BENCH_ASSERT(offsetof(bench_inputs, pulses) == 10, "bench_inputs.pulses");
BENCH_ASSERT(offsetof(bench_inputs, permit) == 17, "bench_inputs.permit");
BENCH_ASSERT(offsetof(bench_inputs, store_busy) == 22, "bench_inputs.store_busy");
BENCH_ASSERT(offsetof(bench_inputs, sides) == 24, "bench_inputs.sides");
BENCH_ASSERT(sizeof(bench_outputs) == 28, "bench_outputs");
BENCH_ASSERT(offsetof(bench_outputs, write) == 8, "bench_outputs.write");
BENCH_ASSERT(offsetof(bench_outputs, asleep) == 11, "bench_outputs.asleep");
BENCH_ASSERT(offsetof(bench_outputs, sides) == 12, "bench_outputs.sides");
BENCH_ASSERT(offsetof(bench_outputs, counts) == 20, "bench_outputs.counts");
BENCH_ASSERT(sizeof(bench_layout_t) == 28, "bench_layout_t");

/* In a module, a function is seen by the bench only where it is exported. */
#ifdef __wasm__
#define BENCH_EXPORT(name) __attribute__((export_name(#name), used))
#else
#define BENCH_EXPORT(name)
#endif

extern bench_inputs bench_in;                  /* filled before every tick */
extern bench_outputs bench_out;                /* read after every tick */
extern uint8_t bench_store[BENCH_STORE_SIZE];  /* filled before power-on: read it, write through bench_out */

/* BENCH_IO(what it serves and offers) stands in one C file, and defines all that. */
#define BENCH_IO(serves_)                                                              \
    bench_inputs bench_in;                                                             \
    bench_outputs bench_out;                                                           \
    uint8_t bench_store[BENCH_STORE_SIZE];                                             \
    BENCH_EXPORT(bench_layout) bench_layout_t *bench_layout(void)                      \
    {                                                                                  \
        static bench_layout_t layout;                                                  \
        layout.magic = BENCH_MAGIC;                                                    \
        layout.version = BENCH_IO_VERSION;                                             \
        layout.inputs_size = sizeof bench_in;                                          \
        layout.outputs_size = sizeof bench_out;                                        \
        layout.store_size = sizeof bench_store;                                        \
        layout.serves = (serves_);                                                     \
        layout.inputs = (uint32_t)(uintptr_t)&bench_in;                                \
        layout.outputs = (uint32_t)(uintptr_t)&bench_out;                              \
        layout.store = (uint32_t)(uintptr_t)bench_store;                               \
        return &layout;                                                                \
    }

BENCH_EXPORT(bench_layout) bench_layout_t *bench_layout(void);

/* Roles. */
enum { BENCH_ROLE_DOOR = 0, BENCH_ROLE_LOCKS = 1 };

/* These are yours.
 *
 * Every controller of a truck is an instance of its own: a door's, or that of the
 * locks. Memory begins as your program file has it at every power-on; only
 * bench_store has lasted. */

/* After every reset, before the first tick. The tick in microseconds is the same all along. */
BENCH_EXPORT(bench_power_on) void bench_power_on(uint32_t role, uint32_t tick_us);

/* Once a tick: look at bench_in, set bench_out. */
BENCH_EXPORT(bench_tick) void bench_tick(void);

/* With BENCH_RECORDS: fill bench_store as teaching would have, for a travel in pulses
 * and a curtain that stands at so many pulses above the floor. Without it every run
 * begins with an empty store, and nothing is taught. */
BENCH_EXPORT(bench_provision) void bench_provision(int32_t travel, int32_t at);

/* With BENCH_RECORDS: the travel in pulses that a power-on would find in bench_store, or -1. */
BENCH_EXPORT(bench_taught) int32_t bench_taught(void);

/* If you have it: the name of a state, at most 31 bytes, for plots and reports. */
BENCH_EXPORT(bench_state_name) const char *bench_state_name(uint32_t role, uint32_t state);

#ifdef __cplusplus
}
#endif
#endif

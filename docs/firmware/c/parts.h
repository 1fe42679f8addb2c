/* What door and lock controller have in common: time, records, sounder, lamp. */
#ifndef PARTS_H
#define PARTS_H

#include <stdbool.h>
#include <stdint.h>

#include "../bench_io.h"
#include "machine.h"

/* Times in ticks. */

extern uint32_t tick_us;

static inline int ticks(uint32_t us)
{
    uint32_t n = (us + tick_us / 2) / tick_us;
    return n < 1 ? 1 : (int)n;
}

static inline int min(int a, int b) { return a < b ? a : b; }
static inline int max(int a, int b) { return a > b ? a : b; }
static inline uint32_t bit(bool on, int n) { return (uint32_t)on << n; }

/* What is done once in a while is kept out of the way of what is done at every tick. */
#define SELDOM __attribute__((noinline, cold))

/* Ticks that have gone by without a call, while this slept: see BENCH_SLEEPS. */
extern uint32_t next_tick;

static inline int ticks_missed(void)
{
    int missed = (int)(bench_in.tick - next_tick);
    next_tick = bench_in.tick + 1;
    return missed;
}

/* Says that it sleeps, and how many of the ticks that it misses it wants at waking. */
static inline void say_asleep(bool asleep, int wanted)
{
    bench_out.asleep = asleep && !bench_out.write && wanted <= 255 ? (uint8_t)wanted : 0;
}

/* Records in the store.
 *
 * A record is a serial number, a value (low byte first) and the CRC-32 of the three.
 * The taught travel is kept twice; teaching writes over the older copy only, so that
 * losing power at any byte leaves the younger one whole. The place of the last rest
 * is kept once, and struck out before the door moves. */

enum { TRAVEL_A = 0, TRAVEL_B = 8, REST_AT = 16, STROKE_AT = 24, HEARD_AT = 26, RECORD_SIZE = 7 };

typedef struct {
    uint8_t serial;
    int16_t value;
} record;

void record_bytes(record r, uint8_t *b);
bool record_read(int at, record *r);
/* The younger of the two copies of the travel that are whole, and where the next is
 * to be written. */
bool travel_read(record *r, int *next);

/* The pen writes records byte by byte, one a tick, in the order they were asked for. */

typedef struct {
    uint8_t at[3 * RECORD_SIZE], value[3 * RECORD_SIZE];
    int n, i;
} pen;

void pen_put(pen *p, int at, const uint8_t *b, int n);
void pen_byte(pen *p, int at, uint8_t b);
static inline bool pen_busy(const pen *p) { return p->i < p->n; }
void pen_write(pen *p);
static inline void pen_tick(pen *p)
{
    bench_out.write = 0;
    if (pen_busy(p))
        pen_write(p);
}

/* The sounder sounds alarms as counted pulses, one after the other. */

typedef struct {
    uint8_t queue[4];
    int n;
    int left; /* pulses still to come */
    int wait; /* ticks until the next change */
    bool on;
    bool busy; /* it has something to sound, or to wait for */
} sounder;

void sounder_begin(sounder *s); /* after a reset */
void sounder_sound(sounder *s, uint8_t alarm);
bool sounder_play(sounder *s);
static inline bool sounder_tick(sounder *s) { return s->busy && sounder_play(s); }

/* A lamp flashes in halves of 0.2 s; after a refusal for 1.5 s. */

#define FLASH_HALF_US 200000
#define FLASH_TIME_US 1500000

extern int flash_half; /* ticks */

/* A lamp that is on, off or flashes; besides, it flashes for some ticks. */
static inline bool lamp_lit(int lamp, int flash, int now)
{
    if (lamp == LAMP_FLASH || flash > 0)
        return lamp == LAMP_ON || now / flash_half % 2 == 0;
    return lamp == LAMP_ON;
}

/* The two roles. */

void door_power_on(void);
void door_tick(void);
const char *door_state_name(uint32_t n);
void door_provision(int32_t travel, int32_t at);

void locks_power_on(void);
void locks_tick(void);
const char *locks_state_name(uint32_t n);

#endif

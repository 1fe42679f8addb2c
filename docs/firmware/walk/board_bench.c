/* The board, on the bench. */
#include "bench_io.h"
#include "board.h"

BENCH_IO(BENCH_DOOR | BENCH_RECORDS)

/* Readings. */
int read_pulses(void) { return bench_in.pulses; }
int receiver_on(void) { return bench_in.press; }
int sill_made(void) { return bench_in.sill; }
int doors_may_move(void) { return bench_in.permit && bench_in.unlocked.made && !bench_in.locked.made; }
int eeprom_word(int at) { return bench_store[at] | bench_store[at + 1] << 8; }

/* Outputs. */
void set_up(int on) { bench_out.up = on; }
void set_down(int on) { bench_out.down = on; }
void set_lamp(int on) { bench_out.lamp = on; }
void set_enable(int on)
{
    bench_out.enable = on;
    bench_out.duty = 100; /* this board has no chopper */
}
void say_down(int down)
{
    bench_out.lines.down = down;
    bench_out.lines.not_down = !down;
}

/* What the bench calls. */
static int first;

void bench_power_on(uint32_t role, uint32_t tick_us)
{
    (void)role; /* this firmware is a door's */
    (void)tick_us;
    first = 1;
}

void bench_tick(void)
{
    if (first) /* inputs are there from the first tick on */
        setup();
    first = 0;
    control();
}

/* The travel where this firmware keeps it: two bytes, low first. */
void bench_provision(int32_t travel, int32_t at)
{
    (void)at; /* it does not keep where the curtain stands */
    bench_store[0] = (uint8_t)travel;
    bench_store[1] = (uint8_t)(travel >> 8);
}

int32_t bench_taught(void) { return eeprom_word(0) > 0 ? eeprom_word(0) : -1; }

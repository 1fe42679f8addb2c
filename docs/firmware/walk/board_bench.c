/* The board, on the bench. */
#include "bench_io.h"
#include "board.h"

BENCH_IO(BENCH_DOOR | BENCH_RECORDS)

/* Readings. */
int read_pulses(void) { return bench_in.pulses; }
int receiver_on(void) { return bench_in.press; }
int sill_made(void) { return bench_in.sill; }
int teach_held(void) { return bench_in.teach; }
int doors_may_move(void) { return bench_in.permit && bench_in.unlocked.made && !bench_in.locked.made; }
int eeprom_word(int at) { return bench_store[at] | bench_store[at + 1] << 8; }

/* Outputs. */
void set_up(int on) { bench_out.up = on; }
void set_down(int on) { bench_out.down = on; }
void set_lamp(int on) { bench_out.lamp = on; }
void set_tone(int on) { bench_out.tone = on; }
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

/* The store is written a byte at a time, while it is free. */
static int pen_at, pen_value, pen_left;

void write_eeprom_word(int at, int value)
{
    pen_at = at;
    pen_value = value;
    pen_left = 2;
}

static void write_on(void)
{
    bench_out.write = 0;
    if (pen_left == 0 || bench_in.store_busy)
        return;
    bench_out.write = 1;
    bench_out.write_at = (uint8_t)pen_at++;
    bench_out.write_byte = (uint8_t)pen_value;
    pen_value >>= 8;
    pen_left--;
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
    write_on();
}

/* The travel where this firmware keeps it: two bytes, low first. */
void bench_provision(int32_t travel, int32_t at)
{
    (void)at; /* it does not keep where the curtain stands */
    bench_store[0] = (uint8_t)travel;
    bench_store[1] = (uint8_t)(travel >> 8);
}

int32_t bench_taught(void) { return eeprom_word(0) > 0 ? eeprom_word(0) : -1; }

/* The firmware of the walk-through, as it was before it met a bench: a main loop, pins,
 * and globals. It opens and closes a door by a remote, and stops at an obstruction. */
#include "board.h"

enum { DOWN, OPEN, BETWEEN, OPENING, CLOSING };

static int where = BETWEEN;
static int travel; /* pulses from the floor to the stop */
static int count;  /* pulses above the floor */
static int quiet;  /* ticks without a pulse */
static int ran;    /* ticks that the motor has run */
static int was_pressed = 1;

static void drive(int up, int down)
{
    set_up(up);
    set_down(down);
    set_enable(up || down);
}

static void stop(int at)
{
    drive(0, 0);
    where = at;
    quiet = ran = 0;
}

/* Once every 10 ms. */
void control(void)
{
    int pulses = read_pulses();
    int press = receiver_on() && !was_pressed;
    was_pressed = receiver_on();

    switch (where) {
    case DOWN:
    case BETWEEN:
        if (press && doors_may_move()) {
            drive(1, 0);
            where = OPENING;
        }
        break;
    case OPEN:
        if (press && doors_may_move()) {
            drive(0, 1);
            where = CLOSING;
        }
        break;
    case OPENING:
        count += pulses;
        quiet = pulses ? 0 : quiet + 1;
        if (press || !doors_may_move() || ++ran > 1400)
            stop(BETWEEN);
        else if (count >= travel - 8)
            stop(OPEN);
        else if (quiet > 80)
            stop(BETWEEN);
        break;
    case CLOSING:
        count -= pulses;
        quiet = pulses ? 0 : quiet + 1;
        if (press || !doors_may_move() || ++ran > 1400) {
            stop(BETWEEN);
        } else if (sill_made() && quiet > 12) {
            stop(DOWN);
            count = 0;
        } else if (quiet > 25) {
            stop(BETWEEN);
        }
        break;
    }
    say_down(where == DOWN);
    set_lamp(where == OPENING || where == CLOSING);
}

void setup(void)
{
    travel = eeprom_word(0);
    if (sill_made())
        where = DOWN;
}

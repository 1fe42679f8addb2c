/* The firmware of the walk-through, as it was before it met a bench: a main loop, pins,
 * and globals. It opens and closes a door by a remote, stops where the door does not go
 * on, and learns the travel while a button is held. */
#include "board.h"

enum { DOWN, OPEN, BETWEEN, OPENING, CLOSING, LEARNING_DOWN, TURNING, LEARNING_UP };

static int where = BETWEEN;
static int travel; /* pulses from the floor to the stop */
static int count;  /* pulses above the floor */
static int quiet;  /* ticks without a pulse */
static int ran;    /* ticks that the motor has run */
static int was_pressed = 1;
static int beats, beat; /* of the sounder still to come, and ticks of this one */

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

/* So many tones: 2 stalled while opening, 3 something in the way while closing. */
static void sound(int tones)
{
    beats = 2 * tones;
    beat = 0;
}

static void sounder(void)
{
    set_tone(beats > 0 && beats % 2 == 0);
    if (beats > 0 && ++beat == 15) {
        beat = 0;
        beats--;
    }
}

/* A press at rest, and the bar is clear. */
static void start(void)
{
    if (teach_held() || where == OPEN)
        drive(0, 1);
    else
        drive(1, 0);
    where = teach_held() ? LEARNING_DOWN : where == OPEN ? CLOSING : OPENING;
}

/* One tick of a run. */
static void run(int pulses)
{
    switch (where) {
    case OPENING:
        count += pulses;
        if (count >= travel - 8) {
            stop(OPEN);
        } else if (quiet > 80) {
            stop(BETWEEN);
            sound(2);
        }
        break;
    case CLOSING:
    case LEARNING_DOWN:
        count -= pulses;
        if (sill_made() && quiet > 12) {
            stop(where == CLOSING ? DOWN : TURNING);
            count = 0;
        } else if (quiet > 25) {
            stop(BETWEEN);
            sound(3);
        }
        break;
    case TURNING:
        if (ran > 30) {
            drive(1, 0);
            where = LEARNING_UP;
        }
        break;
    case LEARNING_UP:
        count += pulses;
        if (quiet > 80) { /* the stop, or something in the way: who teaches looks */
            travel = count;
            write_eeprom_word(0, travel);
            stop(OPEN);
        }
        break;
    }
}

/* Once every 10 ms. */
void control(void)
{
    int pulses = read_pulses();
    int press = receiver_on() && !was_pressed;
    was_pressed = receiver_on();

    if (where <= BETWEEN) {
        if (press && doors_may_move())
            start();
    } else if (press || !doors_may_move() || ++ran > 1400) {
        stop(BETWEEN);
    } else {
        quiet = pulses ? 0 : quiet + 1;
        run(pulses);
    }
    say_down(where == DOWN);
    set_lamp(where > BETWEEN);
    sounder();
}

void setup(void)
{
    travel = eeprom_word(0);
    if (sill_made())
        where = DOWN;
}

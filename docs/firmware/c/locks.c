/* The controller of both sides' locks: one machine a side. */
#include "baseline.h"
#include "parts.h"

typedef struct {
    machine m;
    int in_state; /* ticks */
    int flash;
    bool lock_was, unlock_was; /* the requests' levels at the last tick */
    bool interrupted;          /* a stroke was under way at the reset */
    bool driven;               /* towards locked */
} side_lock;

static struct {
    side_lock sides[BENCH_SIDES];
    sounder sounder;
    pen pen;
    int now; /* ticks since the reset */
} locks;

/* The times of the tuning in ticks, made once after a reset. */
static struct {
    int leave, limit, stroke, settle;
} t;

#define ROWS ((int)(sizeof LOCK_TRANSITIONS / sizeof LOCK_TRANSITIONS[0]))
#define STATES ((uint32_t)(sizeof LOCK_STATES / sizeof LOCK_STATES[0]))

const char *locks_state_name(uint32_t n) { return n < STATES ? LOCK_STATES[n].name : "?"; }

void locks_power_on(void)
{
    t.leave = ticks(LOCK_LEAVE_US);
    t.limit = ticks(LOCK_LIMIT_US);
    t.stroke = ticks(LOCK_STROKE_US);
    t.settle = ticks(LOCK_SETTLE_US);
    for (int i = 0; i < BENCH_SIDES; i++) {
        side_lock *s = &locks.sides[i];
        machine_begin(&s->m, LOCK_START, LOCK_TRANSITIONS, ROWS);
        s->lock_was = s->unlock_was = true;
        s->interrupted = bench_store[STROKE_AT + i] != 0;
    }
}

static bool sound(const bench_end_switch *s) { return s->made != s->released; }

static bool doors_down(const bench_side_inputs *in)
{
    for (int i = 0; i < in->bays; i++)
        if (!in->down[i].down || in->down[i].not_down)
            return false;
    return true;
}

/* What the switches and lines of a side say at this tick. */
typedef struct {
    bool sound, unlocked, locked, down;
} sight;

static uint32_t events(const side_lock *s, const bench_side_inputs *in, const sight *is)
{
    int drive = LOCK_STATES[s->m.now].drive;
    bool left = (drive > 0 && !in->unlocked.made) || (drive < 0 && !in->locked.made);
    return bit(true, LOCK_EV_AWAKE) | bit(!is->sound, LOCK_EV_SWITCHES_WRONG) | bit(!is->down, LOCK_EV_DOORS_LOST) |
           bit(drive != 0 && !left && s->in_state >= t.leave, LOCK_EV_NOT_LEFT) |
           bit(s->in_state >= t.limit, LOCK_EV_LATE) | bit(is->locked, LOCK_EV_ARRIVED_LOCKED) |
           bit(is->unlocked && s->in_state >= t.stroke, LOCK_EV_ARRIVED_UNLOCKED) |
           bit(!is->locked, LOCK_EV_LOCKED_LOST) | bit(!is->unlocked, LOCK_EV_UNLOCKED_LOST) |
           bit(in->unlock_request && !s->unlock_was, LOCK_EV_UNLOCK_ASKED) |
           bit(in->lock_request && !s->lock_was, LOCK_EV_LOCK_ASKED) |
           bit(s->in_state >= t.settle, LOCK_EV_SETTLED);
}

static void answer(side_lock *s, const transition *by)
{
    if (machine_fire(&s->m, by))
        s->in_state = 0;
    if (by->alarm)
        sounder_sound(&locks.sounder, by->alarm);
    if (by->what & BIT(LOCK_DO_FLASH))
        s->flash = ticks(FLASH_TIME_US);
    if (by->what & BIT(LOCK_DO_FLASH_BOTH))
        locks.sides[0].flash = locks.sides[1].flash = ticks(FLASH_TIME_US);
}

/* Keeps on record that a stroke is under way, so that a reset in its midst does not
 * take a bar for unlocked, or for locked, on the word of one switch. */
static void note(int i, int before, int now)
{
    if (before != now && now != 0)
        pen_byte(&locks.pen, STROKE_AT + i, 1);
    if (before != 0 && now == 0)
        pen_byte(&locks.pen, STROKE_AT + i, 0);
}

/* Nothing happens on this side from here on until a wire changes. */
static bool side_asleep(const side_lock *s, uint32_t happens)
{
    const state *now = &LOCK_STATES[s->m.now];
    return now->drive == 0 && s->flash == 0 && now->lamp != LAMP_FLASH &&
           s->in_state >= max(max(t.settle, t.leave), max(t.limit, t.stroke)) && !machine_listens(&s->m, happens);
}

/* Works one side. Tells whether it can sleep. */
static bool side_tick(int i)
{
    side_lock *s = &locks.sides[i];
    const bench_side_inputs *in = &bench_in.sides[i];
    bench_side_outputs *out = &bench_out.sides[i];
    sight is;
    is.sound = sound(&in->unlocked) && sound(&in->locked) && !(in->unlocked.made && in->locked.made);
    is.unlocked = is.sound && in->unlocked.made;
    is.locked = is.sound && in->locked.made;
    is.down = doors_down(in);
    uint32_t happens = events(s, in, &is);
    s->lock_was = in->lock_request;
    s->unlock_was = in->unlock_request;
    s->in_state++;
    int before = LOCK_STATES[s->m.now].drive;
    if (machine_listens(&s->m, happens)) {
        uint32_t guards = bit(is.down, LOCK_IF_DOORS_DOWN) | bit(is.unlocked, LOCK_IF_AT_UNLOCKED) |
                          bit(is.locked, LOCK_IF_AT_LOCKED) | bit(s->interrupted, LOCK_IF_INTERRUPTED);
        const transition *by = machine_answer(&s->m, happens, guards);
        if (by)
            answer(s, by);
    }
    const state *now = &LOCK_STATES[s->m.now];
    note(i, before, now->drive);
    /* The record must say so before a bar leaves; one on its way does not wait for
     * the other side's. */
    out->drive = 0;
    if (now->drive <= 0 || s->driven || (!pen_busy(&locks.pen) && !bench_in.store_busy))
        out->drive = now->drive;
    s->driven = out->drive > 0;
    if (s->flash > 0)
        s->flash--;
    out->lamp = lamp_lit(now->lamp, locks.now) || (s->flash > 0 && lamp_lit(LAMP_FLASH, locks.now));
    out->permit = now->says;
    bench_out.state[i] = (uint16_t)s->m.now;
    return side_asleep(s, happens);
}

/* Makes up for ticks that were slept through. */
static void make_up(int missed)
{
    locks.now += missed;
    for (int i = 0; i < BENCH_SIDES; i++)
        locks.sides[i].in_state += missed;
}

void locks_tick(void)
{
    bool asleep = true;
    make_up(ticks_missed());
    locks.now++;
    for (int i = 0; i < BENCH_SIDES; i++)
        asleep = side_tick(i) && asleep;
    bench_out.tone = sounder_tick(&locks.sounder);
    pen_write(&locks.pen);
    say_asleep(asleep && sounder_silent(&locks.sounder) && !pen_busy(&locks.pen) && !bench_in.store_busy, 1);
}

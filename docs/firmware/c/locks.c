/* The controller of both sides' locks: one machine a side. */
#include "baseline.h"
#include "parts.h"

typedef struct {
    int side;
    machine m;
    int in_state; /* ticks */
    int flash;
    bool lock_was, unlock_was; /* the requests' levels at the last tick */
    bool interrupted;          /* so the record said at the reset */
    uint8_t noted;             /* as on record */
    bool awake;                /* a tick has gone by since the reset */
    bool driven;               /* towards locked */
    uint8_t said_down;         /* doors whose last plain word was down, a bit for each */
    uint8_t unbelieved;        /* doors that are doubted, so too */
    uint8_t noted_doors;       /* as on record */
    bool was_unlocked;             /* made, at the last tick */
    bool was_locked;               /* so too; of a bar that is driven back, at every tick since it began */
    bool suspected;                /* the unlocked switch was made beside that of the locked end */
    bool doubted;                  /* and the bar has left its locked end since */

    /* Of the present state, made when it begins. */
    int drive;
    uint8_t lamp;
    uint32_t waits; /* for these events */
} side_lock;

static struct {
    side_lock sides[BENCH_SIDES];
    sounder sounder;
    pen pen;
    int now; /* ticks since the reset */
} locks;

/* What a side's byte on record says. A byte that was torn has some bits of the old word and
 * some of the new: no such mixture of these two says 0, that all is known. Any other value says
 * the same as STROKE_ON. */
enum {
    STROKE_ON = 1,                 /* a stroke is under way, or the lock has failed */
    STROKE_DOUBTED = STROKE_ON | 2 /* and the switch of the unlocked end is doubted */
};

/* The times of the tuning in ticks, made once after a reset. */
static struct {
    int leave, limit, stroke, settle;
} t;

#define ROWS ((int)(sizeof LOCK_TRANSITIONS / sizeof LOCK_TRANSITIONS[0]))
#define STATES ((uint32_t)(sizeof LOCK_STATES / sizeof LOCK_STATES[0]))

const char *locks_state_name(uint32_t n) { return n < STATES ? LOCK_STATES[n].name : "?"; }

/* What a side's state means for its ticks. */
static void begin(side_lock *s)
{
    const state *now = &LOCK_STATES[s->m.now];
    s->in_state = 0;
    s->drive = now->drive;
    s->lamp = now->lamp;
    s->waits = s->m.listens[s->m.now];
    bench_out.sides[s->side].permit = now->says;
    bench_out.state[s->side] = (uint16_t)s->m.now;
}

void locks_power_on(void)
{
    t.leave = ticks(LOCK_LEAVE_US);
    t.limit = ticks(LOCK_LIMIT_US);
    t.stroke = ticks(LOCK_STROKE_US);
    t.settle = ticks(LOCK_SETTLE_US);
    sounder_begin(&locks.sounder);
    for (int i = 0; i < BENCH_SIDES; i++) {
        side_lock *s = &locks.sides[i];
        s->side = i;
        machine_begin(&s->m, LOCK_START, LOCK_TRANSITIONS, ROWS);
        begin(s);
        s->lock_was = s->unlock_was = true;
        s->noted = bench_store[STROKE_AT + i];
        s->interrupted = s->noted != 0;
        s->doubted = s->noted == STROKE_DOUBTED;
        s->said_down = 0;
        s->unbelieved = s->noted_doors = bench_store[HEARD_AT + i];
    }
}

/* Listens to the doors. The wires of a dark door drop, and then one that is stuck makes
 * the pair say "down" as plainly as a door that is down. But a door that has power says
 * plainly "not down" before it says "down", also as it wakes: so a door of which both
 * wires were on, or which fell silent without having said down, is believed again only
 * after that. Kept on record are those that are doubted and whose wire of the word "down"
 * is on: of the others a reset hears anew. */
static void hear(side_lock *s, const bench_side_inputs *in)
{
    uint8_t lasting = 0;
    for (int i = 0; i < in->bays; i++) {
        bool down = in->down[i].down, not_down = in->down[i].not_down;
        uint8_t door = (uint8_t)BIT(i);
        if (down && !not_down)
            s->said_down |= door;
        else if (!down && not_down) {
            s->said_down &= (uint8_t)~door;
            s->unbelieved &= (uint8_t)~door;
        } else if (down || !(s->said_down & door))
            s->unbelieved |= door;
        if (down)
            lasting |= door;
    }
    lasting &= s->unbelieved;
    if (lasting == s->noted_doors)
        return;
    s->noted_doors = lasting;
    pen_byte(&locks.pen, HEARD_AT + s->side, lasting);
}

static bool doors_down(const side_lock *s, const bench_side_inputs *in)
{
    for (int i = 0; i < in->bays; i++)
        if (!in->down[i].down || in->down[i].not_down || (s->unbelieved & BIT(i)))
            return false;
    return true;
}

/* What the switches of a side say at this tick. */
enum { SWITCHES_WRONG, AT_UNLOCKED, AT_LOCKED, IN_BETWEEN };

static int look(const side_lock *s, const bench_side_inputs *in)
{
    int unlocked = in->unlocked.made, locked = in->locked.made;
    if (unlocked == in->unlocked.released || locked == in->locked.released || (unlocked & locked))
        return SWITCHES_WRONG;
    if (locked && s->drive > 0 && s->was_unlocked) /* no bar is at its other end a tick later */
        return SWITCHES_WRONG;
    return unlocked ? (s->doubted ? IN_BETWEEN : AT_UNLOCKED) : locked ? AT_LOCKED : IN_BETWEEN;
}

/* Finds the switch of the unlocked end stuck: it is made at a bar that says locked, and
 * that cannot have come home, or after a reset is made together with that of the locked
 * end; and the bar, driven back, lets go of its locked end, which was true then. Until
 * that switch lets go it says nothing. */
static void doubt(side_lock *s, const bench_side_inputs *in)
{
    bool leaves = s->drive < 0 && s->in_state < t.leave;
    if (!s->awake) { /* nobody knows which of them was made first */
        s->awake = true;
        s->was_locked = in->locked.made;
    }
    if (!in->unlocked.made) {
        s->suspected = s->doubted = false;
        return;
    }
    if (!s->was_unlocked)
        s->suspected = s->was_locked && (s->drive >= 0 || leaves);
    if (s->suspected && leaves && s->was_locked && !in->locked.made)
        s->doubted = true;
}

static uint32_t events(const side_lock *s, const bench_side_inputs *in, int at)
{
    bool left = (s->drive > 0 && !in->unlocked.made) || (s->drive < 0 && !in->locked.made);
    bool lost = (s->waits & BIT(LOCK_EV_DOORS_LOST)) && !doors_down(s, in);
    return bit(true, LOCK_EV_AWAKE) | bit(at == SWITCHES_WRONG, LOCK_EV_SWITCHES_WRONG) | bit(lost, LOCK_EV_DOORS_LOST) |
           bit(s->drive != 0 && !left && s->in_state >= t.leave, LOCK_EV_NOT_LEFT) |
           bit(s->in_state >= t.limit, LOCK_EV_LATE) | bit(at == AT_LOCKED, LOCK_EV_ARRIVED_LOCKED) |
           bit(at == AT_UNLOCKED && s->in_state >= t.stroke, LOCK_EV_ARRIVED_UNLOCKED) |
           bit(at != AT_LOCKED, LOCK_EV_LOCKED_LOST) | bit(at != AT_UNLOCKED, LOCK_EV_UNLOCKED_LOST) |
           bit(in->unlock_request & !s->unlock_was, LOCK_EV_UNLOCK_ASKED) |
           bit(in->lock_request & !s->lock_was, LOCK_EV_LOCK_ASKED) | bit(s->in_state >= t.settle, LOCK_EV_SETTLED);
}

/* Keeps on record that a stroke is under way or that the lock has failed, so that after
 * a reset a bar is not taken for unlocked, or for locked, on the word of one switch; and
 * that the switch of the unlocked end is doubted. */
static void note(side_lock *s)
{
    uint8_t known = 0;
    if (s->drive != 0 || (s->lamp == LAMP_FLASH && !bench_out.sides[s->side].permit))
        known = s->doubted ? STROKE_DOUBTED : STROKE_ON;
    if (known == s->noted)
        return;
    s->noted = known;
    pen_byte(&locks.pen, STROKE_AT + s->side, known);
}

/* Lets a request that comes in the tick in which something else is answered be heard at
 * the next: whoever asks just as a stroke ends or fails need not ask again. */
static void postpone(side_lock *s, const transition *by, uint32_t happens)
{
    if (by->event == LOCK_EV_UNLOCK_ASKED || by->event == LOCK_EV_LOCK_ASKED)
        return;
    if (happens & BIT(LOCK_EV_UNLOCK_ASKED))
        s->unlock_was = false;
    if (happens & BIT(LOCK_EV_LOCK_ASKED))
        s->lock_was = false;
}

/* Makes the transition that answers the events of this tick, if there is one. */
static SELDOM void answer(side_lock *s, uint32_t happens, int at)
{
    uint32_t guards = bit(doors_down(s, &bench_in.sides[s->side]), LOCK_IF_DOORS_DOWN) | bit(at == AT_UNLOCKED, LOCK_IF_AT_UNLOCKED) |
                      bit(at == AT_LOCKED, LOCK_IF_AT_LOCKED) | bit(s->interrupted, LOCK_IF_INTERRUPTED);
    const transition *by = machine_answer(&s->m, happens, guards);
    if (!by)
        return;
    if (machine_fire(&s->m, by))
        begin(s);
    postpone(s, by, happens);
    if (by->alarm)
        sounder_sound(&locks.sounder, by->alarm);
    if (by->what & BIT(LOCK_DO_FLASH))
        s->flash = ticks(FLASH_TIME_US);
    if (by->what & BIT(LOCK_DO_FLASH_BOTH))
        locks.sides[0].flash = locks.sides[1].flash = ticks(FLASH_TIME_US);
}

/* Events that come by mere waiting. */
#define BY_TIME (BIT(LOCK_EV_NOT_LEFT) | BIT(LOCK_EV_LATE) | BIT(LOCK_EV_ARRIVED_UNLOCKED) | BIT(LOCK_EV_SETTLED))

/* Nothing happens on this side from here on until a wire changes. */
static bool side_asleep(const side_lock *s, uint32_t happens)
{
    return s->drive == 0 && s->flash == 0 && s->lamp != LAMP_FLASH && !((happens | BY_TIME) & s->waits);
}

/* Works one side. Gives what has happened there. */
static uint32_t side_tick(side_lock *s, const bench_side_inputs *in, bench_side_outputs *out)
{
    doubt(s, in);
    hear(s, in);
    int at = look(s, in);
    uint32_t happens = events(s, in, at);
    s->lock_was = in->lock_request;
    s->unlock_was = in->unlock_request;
    s->was_unlocked = in->unlocked.made;
    s->was_locked = in->locked.made && (s->was_locked || s->drive >= 0);
    s->in_state++;
    if (happens & s->waits)
        answer(s, happens, at);
    note(s);
    /* The record must say so before a bar leaves; one on its way does not wait for
     * the other side's. */
    bool ready = s->drive <= 0 || s->driven || (!pen_busy(&locks.pen) && !bench_in.store_busy);
    out->drive = ready ? (int8_t)s->drive : 0;
    s->driven = out->drive > 0;
    if (s->flash > 0)
        s->flash--;
    out->lamp = lamp_lit(s->lamp, s->flash, locks.now);
    return happens;
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
    int missed = ticks_missed();
    if (missed != 0)
        make_up(missed);
    locks.now++;
    uint32_t happens[BENCH_SIDES];
    for (int i = 0; i < BENCH_SIDES; i++)
        happens[i] = side_tick(&locks.sides[i], &bench_in.sides[i], &bench_out.sides[i]);
    bench_out.tone = sounder_tick(&locks.sounder);
    pen_tick(&locks.pen);
    bool asleep = side_asleep(&locks.sides[0], happens[0]) && side_asleep(&locks.sides[1], happens[1]);
    say_asleep(asleep && !locks.sounder.busy && !pen_busy(&locks.pen) && !bench_in.store_busy, 1);
}

/* The controller of one door: detectors that turn readings, pulses and switches into
 * events, a machine that answers them, and a driver that switches the contacts dry. */
#include "baseline.h"
#include "parts.h"

/* Lengths in pulses, currents in converter counts, duties in %. */
#define PULSES(um) ((int)(((int64_t)(um)*PULSES_PER_METRE_PER_M + 500000) / 1000000))
#define COUNTS(ma) (((ma)*BENCH_CONVERTER_MAX + BENCH_CURRENT_FULL_MA / 2) / BENCH_CURRENT_FULL_MA)
#define MILLIVOLTS(mv) (((mv)*BENCH_CONVERTER_MAX + BENCH_SUPPLY_FULL_MV / 2) / BENCH_SUPPLY_FULL_MV)
#define SUPPLY_SPAN_US 100000 /* readings at rest are averaged over it */
#define RUN_OUT_US 500000     /* a curtain may run out so long after the drive is cut */
#define STRAYS 3              /* so many pulses at rest are put down to trembling */
#define STANDS_US 100000      /* a curtain driven up, without a pulse for so long, stands */
#define LEAD_US 20000         /* from the direction to the enable */
#define LAG_US 10000          /* and back */
#define RATED_MV 11500        /* the supply at which the opening current is meant */
#define CLOSING_MV 12000      /* the supply at which the least speed is paid out */
#define COUNTED_MV 11000      /* a higher reading may be wrong, and counts as this */
#define LOST_MV 2700          /* of which the winding of a cold door's motor loses so much */
#define SEAL_DEPTH_UM 10000   /* so much deeper is a floor that a fitted edge does not tell of */
#define SLOWS_TO_US 30000     /* between pulses of a curtain that hardly rises by another one */
#define CATCHES_UP_US 1000000 /* a curtain that goes down may be behind its drive until then */
#define RUNS_DOWN_UM 30000    /* so far it may come down fast after the cut, and hang on its cable */
#define THROWS_BACK_UM 25000  /* so far a curtain that its cable throws back goes up and down in all */
#define TURNS_US 60000        /* without a pulse a closing curtain that had slowed down has turned */
#define DEAD_MA 200           /* any motor that is driven takes more */
#define NO_MA 80              /* a motor that its curtain drives takes no more, */
#define BORNE_MA 120          /* and one that drives, soon after something has come to bear the curtain, more */
#define SLOWS_DOWN_US 300000  /* a motor may take nothing for so long after it was set to a lower duty */

/* A curtain that was driven against something goes on, after the drive is cut, while
 * the seal or the obstruction gives way, and is then thrown back. So long it gives way
 * where the sensing edge has told, and where the motor's current has. */
#define EDGE_GIVES_US 100000
#define MOTOR_GIVES_US 50000

/* The times of the tuning in ticks. A division takes longer than all else in a tick, so
 * they are made once, after a reset. */
#define TIMES \
    X(CATCHES_UP) X(CURRENT_AFTER) X(CURRENT_TIME) X(EDGE_GIVES) X(FLASH_TIME) X(GRACE_CLOSING) \
    X(GRACE_OPENING) X(LAG) X(LEAD) X(MOTOR_GIVES) X(PAUSE) X(RUN_OUT) X(SLOWED_SPAN) \
    X(SLOWS_DOWN) X(SLOWS_TO) X(SLOW_TRAVEL) X(STALL_CLOSING) X(STALL_OPENING) X(STALL_SLOW) X(STANDS) \
    X(SUPPLY_SPAN) X(TRAVEL_LIMIT) X(TURNS) X(WAKING)

static struct {
#define X(name) int name;
    TIMES
#undef X
    int supply_floor;                 /* converter counts, summed over the span */
    int least_pulses, most_pulses;    /* in the slowed span at full duty */
    int least_milli;                  /* 1/1000 pulse a tick that a closing drive pays out */
} t;

/* Places of a rest, kept in the serial byte of its record. */
enum { REST_DOWN = 1, REST_OPEN, REST_BETWEEN };

/* The sum of the last readings, as many as it has slots. What a slot holds counts once it
 * has been filled since the reset. */
#define MOST_SLOTS 640
typedef struct {
    uint16_t ring[MOST_SLOTS];
    int slots, at, n, sum;
} window;

static void window_reset(window *w) { w->at = w->n = w->sum = 0; }

static void window_add(window *w, int x)
{
    uint16_t *slot = &w->ring[w->at];
    w->sum += x - (w->n >= w->slots ? *slot : 0);
    w->n++;
    *slot = (uint16_t)x;
    w->at = w->at + 1 == w->slots ? 0 : w->at + 1;
}

/* One run of the drive in one direction. */
typedef struct {
    int dir;
    int coasts;  /* direction in which pulses count until the enable is made */
    int ticks;   /* since the enable was made */
    int quiet;   /* ticks since the last pulse; after the drive was cut less those since then */
    int gap;     /* ticks between the last two pulses, the second of which came after the drive was cut */
    int pulses;
    int hot;        /* ticks of too high a current */
    int inrush;     /* ticks for which a high current is not yet too high a one */
    int labours;    /* ticks of a current like that of a motor that stands */
    int driven;     /* ticks for which the motor has taken nothing */
    int borne;      /* ticks for which a curtain that drove its motor does so no longer, from 1 on */
    bool bears;     /* something bears it */
    int carries;    /* ticks of a motor that drives something */
    bool drew;      /* the motor has taken something */
    int cut;        /* ticks for which it has taken nothing since: its lead is off, or a contact */
    int lag;        /* 1/1000 pulse by which the curtain has fallen behind its drive */
    bool from_sill; /* it began with the sill switch made */
    bool met;       /* it ended against something */
    int gives;      /* ticks that this still gave way after the drive was cut */
    bool lagged;    /* it was a curtain that did not come after its drive, or with an effort, and no edge told of it */
    bool turned;    /* a pulse after it was where the curtain turned, and was not counted */
    int fell;       /* pulses, after the drive was cut on the way down, of a curtain that falls fast */
    int aside;      /* pulses after those, of one that its cable may have thrown back: they are not counted */
    bool goes_down; /* it has not: all are counted */
    bool arrived;   /* it ended at the top */
    bool ran_out;
    int down_ticks; /* how long the last run down was */
    bool floored;   /* and it ended at a floor, believed or not */
} run;

static struct {
    machine m;
    sounder sounder;
    pen pen;
    window supply, speed;
    int speed_most; /* pulses in the slowed span, of this state */

    /* Of the present state, made when it begins. */
    int drive;
    int percent;       /* of duty */
    bool slow;         /* that is of a slow state */
    uint8_t lamp;
    bool says;         /* the door is down */
    uint32_t waits;    /* for these events */
    int stall, still;  /* ticks without a pulse, after some and from the start, */
    int patience;      /* and the fewer of both */
    int long_run;      /* ticks after which it can have lasted too long */
    int least, most;   /* pulses in the slowed span, times 100 */

    /* The switches as they were looked at last, four to a word, and what they say. */
    uint32_t words[3];
    uint16_t edge;
    uint32_t levels; /* events */

    int amps; /* converter counts at full duty, while driven */

    int travel; /* taught, pulses; 0 when nothing is */
    int count;  /* pulses above the floor */
    bool known;
    bool high;      /* it may be too high: nothing has confirmed its stop, or a floor has come early since */
    int low;        /* pulses by which it may be too low: what was counted down may have been thrown back */
    uint8_t place;  /* of the last rest, from the record */
    bool noted;     /* the record of this rest stands */
    int written;    /* the count that it gives */
    uint8_t serial; /* of the youngest travel record */
    int next;       /* where the next is to be written */

    bool pressed; /* the receiver's line at the last tick */
    bool sill_made, sill_open; /* the sill switch has been seen so since the reset */
    run run;
    int in_state; /* ticks */
    int at_rest;  /* ticks since the drive was cut */
    int strays;   /* pulses at rest */
    int flash;    /* ticks that the lamp still flashes */

    int dir; /* driver: the direction coil that is on */
    bool enable;
    int wait;
} d;

#define ROWS ((int)(sizeof DOOR_TRANSITIONS / sizeof DOOR_TRANSITIONS[0]))
#define STATES ((uint32_t)(sizeof DOOR_STATES / sizeof DOOR_STATES[0]))

const char *door_state_name(uint32_t n) { return n < STATES ? DOOR_STATES[n].name : "?"; }

static int duty(int word)
{
    switch (word) {
    case DUTY_CLOSING:
        return CLOSING_DUTY_PERCENT;
    case DUTY_SLOW:
        return SLOW_DUTY_PERCENT;
    case DUTY_TEACHING:
        return TEACHING_DUTY_PERCENT;
    }
    return 100;
}

/* Pulses of the slowed span at a speed, rounded. */
static int span_pulses(int64_t um_s)
{
    int64_t span_us = (int64_t)t.SLOWED_SPAN * tick_us;
    return (int)((um_s * span_us * PULSES_PER_METRE_PER_M + 500000000000) / 1000000000000);
}

static void make_times(void)
{
#define X(name) t.name = ticks(name##_US);
    TIMES
#undef X
    int64_t floor = (int64_t)SUPPLY_FLOOR_MV * BENCH_CONVERTER_MAX * t.SUPPLY_SPAN;
    t.supply_floor = (int)((floor + BENCH_SUPPLY_FULL_MV - 1) / BENCH_SUPPLY_FULL_MV);
    t.least_pulses = span_pulses(LEAST_SPEED_UM_S);
    t.most_pulses = span_pulses(MOST_SPEED_UM_S);
    t.least_milli = (int)(((int64_t)LEAST_SPEED_UM_S * PULSES_PER_METRE_PER_M * tick_us / 1000000 + 500) / 1000);
}

static void light(bool on) { bench_out.lamp = on; }

/* What a state means for its ticks. */
static SELDOM void begin(int n)
{
    const state *s = &DOOR_STATES[n];
    d.in_state = 0;
    window_reset(&d.speed);
    d.speed_most = 0;
    d.drive = s->drive;
    d.percent = duty(s->duty);
    d.slow = s->duty == DUTY_SLOW || s->duty == DUTY_TEACHING;
    d.lamp = s->lamp;
    d.says = s->says;
    d.waits = d.m.listens[n];
    d.stall = s->drive > 0 ? t.STALL_OPENING : d.slow ? t.STALL_SLOW : t.STALL_CLOSING;
    d.still = s->drive > 0 ? t.GRACE_OPENING : t.GRACE_CLOSING;
    d.patience = min(d.stall, d.still);
    d.long_run = min(t.TRAVEL_LIMIT, t.SLOW_TRAVEL);
    d.least = t.least_pulses * d.percent / 100 * SLOWED_TO_PERCENT;
    d.most = t.most_pulses * d.percent / 100 * SLOWED_TO_PERCENT;
    bench_out.duty = (uint8_t)d.percent;
    light(s->lamp == LAMP_ON);
    bench_out.lines.down = s->says;
    bench_out.lines.not_down = !s->says;
    bench_out.state[0] = (uint16_t)n;
}

void door_power_on(void)
{
    record r = {0, 0};
    make_times();
    machine_begin(&d.m, DOOR_START, DOOR_TRANSITIONS, ROWS);
    d.supply.slots = t.SUPPLY_SPAN;
    d.speed.slots = t.SLOWED_SPAN;
    begin(DOOR_START);
    sounder_begin(&d.sounder);
    d.pressed = true; /* a button that is held while power returns is no press */
    d.words[0] = ~0u; /* nothing has been looked at */
    if (travel_read(&r, &d.next))
        d.travel = r.value;
    d.serial = r.serial;
    if (d.travel > 0 && record_read(REST_AT, &r)) {
        d.place = r.serial;
        d.count = r.value;
        d.known = true;
        d.noted = true;
        d.written = d.count;
        d.run.arrived = d.place == REST_OPEN;
    }
    /* Nothing to write about: the record stands. */
    d.at_rest = max(t.RUN_OUT, t.PAUSE) + 1;
}

void door_provision(int32_t travel, int32_t at)
{
    record taught = {1, (int16_t)travel}, rest = {REST_BETWEEN, (int16_t)at};
    if (at == 0)
        rest.serial = REST_DOWN;
    else if (at >= travel - max(PULSES(TOP_WINDOW_UM), PULSES(STOP_BEFORE_UM)))
        rest.serial = REST_OPEN;
    record_bytes(taught, bench_store + TRAVEL_A);
    record_bytes(rest, bench_store + REST_AT);
}

/* Readings. */

/* Bounds between the readings of the sensing edge, halfway or nearer to the faulty side. */
enum { EDGE_SHORT_BELOW = 40, EDGE_PRESSED_BELOW = 330, EDGE_OPEN_ABOVE = 900 };

static bool edge_faulty(void)
{
    return bench_in.edge_fitted & ((bench_in.edge < EDGE_SHORT_BELOW) | (bench_in.edge > EDGE_OPEN_ABOVE));
}

static bool edge_pressed(void)
{
    return bench_in.edge_fitted & (bench_in.edge >= EDGE_SHORT_BELOW) & (bench_in.edge < EDGE_PRESSED_BELOW);
}

/* The lock controller permits, and both end switches say that the bar is unlocked. */
static bool permitted(void)
{
    const bench_end_switch *u = &bench_in.unlocked, *l = &bench_in.locked;
    return bench_in.permit & u->made & !u->released & !l->made & l->released;
}

/* Four switches that lie side by side. */
static uint32_t word(const uint8_t *first)
{
    uint32_t w;
    __builtin_memcpy(&w, first, sizeof w);
    return w;
}

/* What the switches say, looked at anew. Gives what happens at this tick alone. */
static SELDOM uint32_t look(void)
{
    bool press = bench_in.press && !d.pressed;
    d.words[0] = word(&bench_in.two_channels);
    d.words[1] = word(&bench_in.teach);
    d.words[2] = word(&bench_in.locked.made);
    d.edge = bench_in.edge;
    d.pressed = bench_in.press;
    d.sill_made |= bench_in.sill;
    d.sill_open |= !bench_in.sill;
    d.levels = bit(!permitted(), DOOR_EV_BARRED) | bit(edge_pressed(), DOOR_EV_EDGE_PRESSED) | bit(edge_faulty(), DOOR_EV_EDGE_FAULTY);
    return bit(press, DOOR_EV_PRESS);
}

/* What the switches say. Most ticks find them as they were. */
static uint32_t switches(void)
{
    uint32_t press = 0;
    if (((word(&bench_in.two_channels) ^ d.words[0]) | (word(&bench_in.teach) ^ d.words[1]) |
         (word(&bench_in.locked.made) ^ d.words[2]) | (bench_in.edge ^ d.edge)) != 0)
        press = look();
    return d.levels | press;
}

/* The current is read before the chopper: scaled to full duty. */
static int full_current(void)
{
    return d.percent == 100 ? bench_in.current : bench_in.current * 100 / d.percent;
}

/* Compares the current with what the run can need. High up, a drive at full duty may need
 * more to wind up its own spring; a door that comes slowly, or whose count is not known, is
 * watched all the way. */
static bool too_hot(void)
{
    if (d.run.dir > 0)
        return d.amps > COUNTS(OPENING_CURRENT_MA);
    return (d.amps > COUNTS(CLOSING_CURRENT_MA)) & (d.slow | !d.known | (d.count < PULSES(CLOSING_CURRENT_BELOW_UM)));
}

/* An opening motor takes what one takes that stands, at its voltage: on a low supply, or
 * at less than full duty, that is less than the opening current. */
static bool labours(void)
{
    int rated = MILLIVOLTS(RATED_MV);
    int volts = min(bench_in.supply, rated) * d.percent; /* times 100 */
    return d.amps * rated * 100 > COUNTS(OPENING_CURRENT_MA) * volts;
}

/* A curtain that rises on, its drive cut, may have turned at this pulse: the one before it
 * came after a gap that only a curtain leaves that is about to stand, and this one after a
 * longer one. It comes back by less than a pulse, so this happens once. */
static bool comes_back(int gap)
{
    run *r = &d.run;
    bool now = (r->gap >= t.SLOWS_TO) & (gap > t.SLOWS_TO) & !r->turned;
    r->gap = gap;
    r->turned |= now;
    return now;
}

/* One that is stopped on slack cable falls fast until that is straight, and is thrown back by it,
 * up and down and up: pulses once it has slowed down are set aside. One whose drive does not
 * brake goes on down: by its speed or by their number they tell, and count after all. The first
 * two tell no speed, since they may be of one edge, crossed down and up. */
static bool thrown_back(int gap)
{
    run *r = &d.run;
    bool slow = gap >= t.SLOWS_TO;
    if (r->met | r->goes_down | (r->ticks >= t.CATCHES_UP))
        return false;
    if ((r->fell == 0) | ((r->aside == 0) & !slow)) {
        r->fell += bench_in.pulses;
        return false;
    }
    if ((r->fell < PULSES(RUNS_DOWN_UM)) | ((r->aside > 1) & !slow) | (r->aside + bench_in.pulses > PULSES(THROWS_BACK_UM))) {
        r->goes_down = true;
        d.count -= r->aside;
        return false;
    }
    r->aside += bench_in.pulses;
    return true;
}

/* A curtain that runs out may have turned at these pulses, or before them. */
static bool turns(void)
{
    int gap = d.at_rest + d.run.quiet;
    d.run.quiet = -d.at_rest;
    return d.run.dir > 0 ? comes_back(gap) : thrown_back(gap);
}

/* Two channels tell the direction; with one it is taken from the last drive, as long
 * as the curtain can still be running out. A curtain that was driven against something
 * springs back once that no longer gives. Where one that was not may have turned, pulses
 * are not counted. */
static int direction(void)
{
    int dir = d.run.dir;
    if (d.drive != 0)
        return d.enable ? dir : d.run.coasts; /* the run before goes on */
    if ((d.run.met && d.at_rest > d.run.gives) || (dir > 0 && d.count >= d.travel))
        return -dir;
    return bench_in.pulses && turns() ? 0 : dir;
}

/* Pulses at rest. A door that is down lies in its seal, and that can only spread; one that
 * stands against the stop can only come down. */
static void stray(void)
{
    d.strays += bench_in.pulses;
    if (d.says && d.count < 0)
        d.count = min(d.count + bench_in.pulses, 0);
    else if (d.count > d.travel)
        d.count = max(d.count - bench_in.pulses, d.travel);
}

/* What was written down of a rest must not be read after a reset. */
static void strike_rest(void)
{
    pen_byte(&d.pen, REST_AT, 0);
    d.noted = false;
}

/* Two channels follow a curtain that moves at rest, and the record of that rest does not. A
 * door that is down is so until it has moved. */
static void outdate(void)
{
    int off = d.count - d.written;
    if (d.noted && !d.says && (off > STRAYS || off < -STRAYS))
        strike_rest();
}

static SELDOM void count_pulses(void)
{
    if (bench_in.two_channels) {
        d.count += bench_in.net;
        outdate();
    } else if (d.drive == 0 && d.at_rest > t.RUN_OUT)
        stray();
    else {
        int dir = direction(); /* may correct the count */
        d.count += dir * bench_in.pulses;
        if ((dir < 0) & (d.drive == 0) & d.run.lagged)
            d.low += 2 * bench_in.pulses;
    }
}

/* The count may be too low by more than one channel miscounts with nothing wrong. */
static bool too_low(void) { return d.low > 2 * STRAYS; }

/* What holds the curtain up lies below the stop by the count, and can be the stop by the most
 * that the count may be too low. */
static bool stop_by_the_most(void)
{
    int top = d.travel - PULSES(TOP_WINDOW_UM);
    return d.known && too_low() && d.count < top && d.count + d.low >= top;
}

/* A part in %, of which 100 is most common, and needs no division. */
static int part(int x, int percent) { return percent == 100 ? x : x * percent / 100; }

/* For how many ticks more too high a current is taken for that of a motor that starts anew:
 * one that comes at once after there was none, as of a contact that had opened for a moment. */
static int inrush(bool hot)
{
    if (bench_in.current <= COUNTS(DEAD_MA))
        return t.CURRENT_AFTER;
    return hot ? max(0, d.run.inrush - 1) : 0;
}

/* For how many ticks a curtain that drove its motor has no longer done so, from 1 on. One that
 * outweighs its spring pulls the drive along, and a motor that is driven takes nothing; where it
 * takes current again, something else bears the curtain. But any motor takes nothing for a
 * while where it has just been slowed down, or the supply sags; and one that takes much at once
 * has had a contact open. */
static int borne(void)
{
    int was = d.run.borne;
    bool none = bench_in.current <= COUNTS(NO_MA);
    d.run.driven = none ? d.run.driven + 1 : 0;
    if (none && d.run.driven >= t.SLOWS_DOWN)
        return 1;
    if (none || was == 0 || (was == 1 && bench_in.current > COUNTS(DEAD_MA)))
        return 0;
    return was + 1;
}

/* Something bears a curtain that comes down slowly, and no longer hangs behind its drive: its
 * motor has come to take current sooner than where it is the spring that carries more and more. */
static bool bears(void)
{
    run *r = &d.run;
    return d.slow && r->ticks >= t.CATCHES_UP && r->borne == 1 + t.CURRENT_TIME &&
           bench_in.current > COUNTS(BORNE_MA);
}

/* The motor drives something, or its sensor tells nothing. */
static bool carries(void) { return (d.amps > COUNTS(IDLE_CURRENT_MA)) | (bench_in.current <= COUNTS(DEAD_MA)); }

/* What the drive pays out in this tick at least, in 1/1000 pulse, where it runs down: its
 * speed goes with its voltage, less what the winding loses. */
static int paid_out(void)
{
    int lost = MILLIVOLTS(LOST_MV), volts = part(min(bench_in.supply, MILLIVOLTS(COUNTED_MV)), d.percent) - lost;
    return max(0, t.least_milli * volts / (MILLIVOLTS(CLOSING_MV) - lost));
}

/* The tick of a run whose enable is made. */
static void follow_run(void)
{
    run *r = &d.run;
    int pulses = bench_in.pulses;
    d.count += bench_in.two_channels ? bench_in.net : r->dir * pulses;
    r->ticks++;
    r->pulses += pulses;
    r->quiet = pulses ? 0 : r->quiet + 1;
    d.amps = full_current();
    bool none = bench_in.current <= COUNTS(DEAD_MA);
    r->drew |= !none;
    r->cut = (none & r->drew) ? r->cut + 1 : 0;
    bool settled = r->ticks >= t.CURRENT_AFTER; /* the inrush is over */
    bool hot = too_hot();
    r->inrush = inrush(hot);
    r->hot = (settled & hot & (r->inrush == 0)) ? r->hot + 1 : 0;
    if (r->dir > 0) {
        r->labours = (settled & labours()) ? r->labours + 1 : 0;
        r->carries = carries() ? r->carries + 1 : 0;
        return;
    }
    r->borne = borne();
    r->bears = bears();
    window_add(&d.speed, pulses);
    d.speed_most = max(d.speed_most, d.speed.sum);
    r->lag = max(0, r->lag + paid_out() - 1000 * pulses);
}

static void follow(void)
{
    if (d.enable & (d.drive != 0)) {
        follow_run();
        return;
    }
    if (bench_in.pulses | bench_in.net)
        count_pulses();
    if (d.dir == 0 && d.drive == 0) {
        window_add(&d.supply, bench_in.supply);
    } else {
        window_reset(&d.supply);
        d.amps = full_current();
        if (d.drive != 0)
            d.run.quiet = 0;
    }
}

/* Events. */

static bool stalled(void) { return (d.run.pulses > 0) & (d.run.quiet >= d.stall); }

static bool still(void) { return (d.run.pulses == 0) & (d.run.ticks >= d.still); }

/* The pulses have fallen off. A curtain that has not come after its drive from the
 * start has no speed of its own to be measured by, and one that has run ahead of it
 * has too much; but what the drive has paid out, and the curtain has not come, hangs as
 * slack cable. */
static bool slowed(void)
{
    if (d.run.lag > PULSES(MOST_LAG_UM) * 1000)
        return true;
    if (d.speed.n < 2 * d.speed.slots)
        return false;
    return d.speed.sum * 100 < min(max(d.speed_most * SLOWED_TO_PERCENT, d.least), d.most);
}

/* A curtain that is driven up gives no pulses, or has not given one yet. */
static bool stands(void) { return d.run.quiet >= t.STANDS; }

/* The motor has taken too much for long enough. A door that is heavy, and goes up, takes as
 * much for a moment as one that stands: while it gives pulses it is let go on for a while. */
static bool held_up(void)
{
    bool hot = (d.run.hot >= t.CURRENT_TIME) & ((d.run.dir < 0) | stands());
    return hot | d.run.bears | (d.run.labours >= t.GRACE_OPENING);
}

static SELDOM uint32_t late_events(void)
{
    return bit(d.run.ticks >= t.TRAVEL_LIMIT, DOOR_EV_TIME_UP) | bit(d.run.ticks == t.SLOW_TRAVEL, DOOR_EV_SLOW) |
           bit(stalled(), DOOR_EV_STALL) | bit(still(), DOOR_EV_NO_MOTION) | bit(held_up(), DOOR_EV_HELD_UP);
}

/* None of these can be before something has lasted for a while. */
static uint32_t run_events(void)
{
    bool late = (d.run.ticks >= d.long_run) | (d.run.quiet >= d.patience) | ((d.run.hot | d.run.labours) != 0) | d.run.bears;
    return late ? late_events() : 0;
}

static uint32_t up_events(void)
{
    bool at_top = d.known & !d.high & (d.count >= d.travel - PULSES(STOP_BEFORE_UM)) & (d.run.pulses > 0);
    return bit(at_top, DOOR_EV_AT_TOP) | bit(d.run.ticks >= d.run.down_ticks, DOOR_EV_WOUND_BACK);
}

/* The sill switch is made, and something says that the door stands on it. */
static bool on_floor(void)
{
    return edge_pressed() || held_up() || stalled() || (still() && d.amps > COUNTS(IDLE_CURRENT_MA));
}

static uint32_t down_events(void)
{
    uint32_t e = bit(slowed(), DOOR_EV_SLOWED) | bit(bench_in.sill && on_floor(), DOOR_EV_FLOOR);
    if (!d.known || d.count > PULSES(SLOW_BELOW_UM))
        return e;
    e |= BIT(DOOR_EV_NEAR_FLOOR) | bit(d.count < -PULSES(OVERRUN_UM), DOOR_EV_OVERRUN);
    if (d.count < -PULSES(FLOOR_WINDOW_UM) && !d.run.ran_out) {
        d.run.ran_out = true;
        e |= BIT(DOOR_EV_RAN_OUT);
    }
    return e;
}

/* The count is that of a door that stands open. */
static bool high_as_open(void) { return d.count >= d.travel - max(PULSES(TOP_WINDOW_UM), PULSES(STOP_BEFORE_UM)); }

/* The curtain has moved with the drive at rest. Two channels tell where to: with them it has only
 * where it was down, or open, and is so no longer. One that sinks into its seal is no less down. */
static bool moved(void)
{
    if (!bench_in.two_channels)
        return d.strays > STRAYS;
    if (d.says)
        return d.count > PULSES(FLOOR_WINDOW_UM);
    return d.run.arrived && !high_as_open();
}

static uint32_t events(void)
{
    uint32_t e = switches();
    e |= bit(d.in_state >= t.WAKING, DOOR_EV_AWAKE) | bit(d.in_state >= t.PAUSE, DOOR_EV_PAUSED);
    if (d.drive == 0)
        return e | bit(moved(), DOOR_EV_MOVED) | bit(!bench_in.sill, DOOR_EV_SILL_OPEN);
    return e | run_events() | (d.drive > 0 ? up_events() : down_events());
}

/* What holds the motor up can be the open stop: it carries more than a curtain, which stands,
 * and it has not only just begun to lift one off the sill. A jam may let the curtain by: where the
 * motor does not take the opening current it is taken to stand no sooner than in a stall. */
static bool at_stop(void)
{
    bool low = d.run.from_sill && d.run.pulses < PULSES(LEAST_TRAVEL_UM);
    bool still = d.run.quiet >= t.STALL_OPENING || (d.run.hot >= t.CURRENT_TIME && stands());
    return full_current() > COUNTS(LOADED_CURRENT_MA) && !bench_in.sill && !low && still;
}

/* The sill switch has been seen both ways, and has not stayed made while this run came
 * down from above the sill. */
static bool sill_works(void)
{
    bool stuck = d.run.from_sill && d.run.pulses > 2 * PULSES(FLOOR_WINDOW_UM);
    return d.sill_made && d.sill_open && !stuck;
}

/* The count, believed or not, is that of the stop. */
static bool top_confirmed(void)
{
    int top = PULSES(TOP_WINDOW_UM);
    return d.count >= d.travel - top && d.count <= d.travel + top;
}

static SELDOM uint32_t guards(void)
{
    int floor = PULSES(FLOOR_WINDOW_UM), top = PULSES(TOP_WINDOW_UM), amps = full_current();
    return bit(permitted(), DOOR_IF_PERMITTED) |
           bit(d.supply.n >= d.supply.slots && d.supply.sum < t.supply_floor, DOOR_IF_SUPPLY_LOW) |
           bit(d.known, DOOR_IF_COUNT_KNOWN) | bit(d.known && d.count >= -floor && d.count <= floor, DOOR_IF_NEAR_ZERO) |
           bit(d.known && d.count >= d.travel - top && (d.count <= d.travel + PULSES(OVERRUN_UM) || d.run.floored || d.high), DOOR_IF_NEAR_TOP) |
           bit(bench_in.sill, DOOR_IF_SILL_MADE) | bit(!edge_faulty(), DOOR_IF_EDGE_SOUND) |
           bit(d.travel > 0, DOOR_IF_TAUGHT) | bit(bench_in.teach, DOOR_IF_TEACH_ASKED) |
           bit(d.known && d.count >= PULSES(LEAST_TRAVEL_UM), DOOR_IF_PLAUSIBLE) |
           bit(d.place == REST_DOWN, DOOR_IF_WAS_DOWN) | bit(d.place == REST_OPEN, DOOR_IF_WAS_OPEN) |
           bit(d.known && d.count < -floor, DOOR_IF_PAST_ZERO) | bit(d.run.ticks >= d.run.down_ticks, DOOR_IF_WOUND_BACK) |
           bit(d.at_rest >= t.PAUSE, DOOR_IF_RESTED) |
           bit(top_confirmed(), DOOR_IF_TOP_CONFIRMED) |
           bit(sill_works(), DOOR_IF_SILL_WORKS) | bit(amps > COUNTS(LOADED_CURRENT_MA), DOOR_IF_LOADED) |
           bit(amps > COUNTS(IDLE_CURRENT_MA) && amps <= COUNTS(LOADED_CURRENT_MA), DOOR_IF_LIFTING) |
           bit(d.run.pulses > 0, DOOR_IF_MOVING) | bit(at_stop(), DOOR_IF_AT_STOP) |
           bit(d.travel > 0 && d.count < d.travel - top, DOOR_IF_SHORTER) | bit(bench_in.current > COUNTS(DEAD_MA), DOOR_IF_DRAWING) |
           bit(!carries(), DOOR_IF_IDLING) |
           bit(bench_in.sill && d.known && d.count > PULSES(SLOW_BELOW_UM), DOOR_IF_SILL_WRONG);
}

/* Answers. */

/* Writes the counted travel over the older copy of the record. */
static void teach(void)
{
    uint8_t b[RECORD_SIZE];
    d.travel = d.count;
    d.serial++;
    record_bytes((record){d.serial, (int16_t)d.travel}, b);
    pen_put(&d.pen, d.next, b, RECORD_SIZE);
    d.next = TRAVEL_A + TRAVEL_B - d.next;
}

static void what_besides(uint32_t what)
{
    if (what & BIT(DOOR_DO_DOUBT)) {
        d.known = false;
        strike_rest(); /* a reset must not believe it either */
        if (d.strays > STRAYS) /* whither it has moved nobody knows */
            d.count = 0;
    }
    /* Where a fitted edge has not told of the floor, the seal is pressed down further. */
    bool deep = bench_in.edge_fitted && !edge_pressed();
    int floor = deep ? -PULSES(SEAL_DEPTH_UM) : 0;
    if (what & BIT(DOOR_DO_TRIM)) {
        int off = max(d.count, 0) + min(d.count - floor, 0);
        d.count -= min(max(off, -PULSES(TRIM_UM)), PULSES(TRIM_UM));
    }
    if (what & (BIT(DOOR_DO_TRIM) | BIT(DOOR_DO_ZERO)))
        d.high = false;
    if (what & (BIT(DOOR_DO_TRIM) | BIT(DOOR_DO_ZERO) | BIT(DOOR_DO_TOP)))
        d.low = 0;
    /* A door that lay there, and was counted to lie, before its drive was on keeps its count. */
    bool lies = d.known && d.run.ticks == 0 && d.count <= 0 && d.count >= -PULSES(SEAL_DEPTH_UM);
    if (what & BIT(DOOR_DO_ZERO) && !lies) {
        d.count = floor;
        d.known = true;
    }
    if (what & BIT(DOOR_DO_TOP)) {
        d.high = !top_confirmed();
        d.count = d.travel;
        d.known = true;
    }
    if (what & BIT(DOOR_DO_CAP) && (d.run.floored || d.high)) {
        d.count = min(d.count, d.travel);
        d.high = false;
    }
    if (what & BIT(DOOR_DO_FLASH))
        d.flash = t.FLASH_TIME;
    if (what & BIT(DOOR_DO_STORE))
        teach();
}

/* Begins and ends runs. */
static void turn(int before, int after)
{
    if (before < 0)
        d.run.down_ticks = d.run.ticks;
    if (before == 0)
        strike_rest(); /* before anything it says becomes untrue */
    int coasts = d.run.dir == 0 ? after : d.run.met ? -d.run.dir : d.run.dir;
    if (after != 0)
        d.run = (run){.dir = after, .coasts = coasts, .down_ticks = d.run.down_ticks, .floored = d.run.floored, .from_sill = bench_in.sill};
    d.at_rest = d.strays = 0;
}

/* The motor has driven something for a while. One that has not, its release open, has met
 * nothing; and where it is engaged again as it is cut, the curtain goes on with it. */
static bool carried(void) { return d.run.carries >= t.CURRENT_TIME; }

/* Keeps how a run has ended: what it met, and where. */
static void ended(int event, int dir, bool stood)
{
    run *r = &d.run;
    bool stall = event == DOOR_EV_STALL || event == DOOR_EV_HELD_UP;
    r->met = stood;
    r->gives = 0;
    /* With a count too high it comes fast, and the seal slows it down before anything tells of the floor. */
    if (dir < 0)
        r->floored = event == DOOR_EV_FLOOR || (event == DOOR_EV_SLOWED && bench_in.sill);
    d.high = d.high || (dir < 0 && r->floored && d.count > PULSES(FLOOR_WINDOW_UM));
    r->lagged = dir < 0 && !edge_pressed() && (stall || event == DOOR_EV_SLOWED);
    if (dir > 0 && stall && stood && stop_by_the_most())
        d.known = false;
    if (dir > 0 && event == DOOR_EV_HELD_UP && !stood) { /* it may be moving yet */
        r->met = true;
        r->gives = t.MOTOR_GIVES;
    } else if (dir > 0 && stall) {
        r->met = carried();
    } else if (dir < 0 && edge_pressed() && (event == DOOR_EV_FLOOR || event == DOOR_EV_EDGE_PRESSED)) {
        r->met = true;
        r->gives = t.EDGE_GIVES;
    } else if (dir < 0 && (event == DOOR_EV_HELD_UP || (event == DOOR_EV_FLOOR && held_up()))) {
        r->met = true;
        r->gives = t.MOTOR_GIVES;
    } else if (dir < 0 && event == DOOR_EV_FLOOR) {
        r->met = true;
    } else if (dir < 0 && (event == DOOR_EV_STALL || (event == DOOR_EV_SLOWED && r->quiet >= t.TURNS))) {
        r->met = r->cut < t.CURRENT_TIME; /* a drive that has stopped by itself has met nothing */
    }
    r->arrived = dir > 0 && d.known && high_as_open() && (stall || event == DOOR_EV_AT_TOP || event == DOOR_EV_WOUND_BACK);
}

/* Makes the transition that answers the events of this tick, if there is one. */
static SELDOM void answer(uint32_t happens)
{
    const transition *by = machine_answer(&d.m, happens, guards());
    int before = d.drive;
    if (!by)
        return;
    if (machine_fire(&d.m, by))
        begin(d.m.now);
    if (by->alarm)
        sounder_sound(&d.sounder, by->alarm);
    what_besides(by->what);
    if (d.drive == before)
        return;
    bool stood = before > 0 && d.run.pulses > 0 && d.run.quiet >= t.STANDS && carried();
    turn(before, d.drive);
    ended(by->event, before, stood);
}

/* Outputs. */

/* Writes down where the curtain stands, once it has run out. */
static SELDOM void note_rest(void)
{
    uint8_t b[RECORD_SIZE];
    record r = {REST_BETWEEN, (int16_t)d.count};
    if (d.says)
        r.serial = REST_DOWN;
    else if (d.run.arrived)
        r.serial = REST_OPEN;
    else if (d.high || too_low()) /* it had better be looked for again */
        return;
    /* The byte that was struck comes last: it alone would make the old record whole again. */
    record_bytes(r, b);
    pen_put(&d.pen, REST_AT + 1, b + 1, RECORD_SIZE - 1);
    pen_byte(&d.pen, REST_AT, b[0]);
    d.noted = true;
    d.written = d.count;
}

/* Dry switching: the direction is made before the enable, and released after it, so
 * that the direction contacts never break the motor's current and a stop is cut
 * twice. A start waits until the store is written. */
static SELDOM void switch_to(int want, bool ready)
{
    if (d.dir != 0 && d.dir != want) {
        if (d.enable) {
            d.enable = false;
            d.wait = t.LAG - 1;
        } else if (d.wait > 0) {
            d.wait--;
        } else {
            d.dir = 0;
        }
    } else if (want != 0 && d.dir == 0) {
        if (ready) {
            d.dir = want;
            d.wait = t.LEAD;
        }
    } else if (want != 0 && !d.enable && --d.wait <= 0) {
        d.enable = true;
    }
    bench_out.up = d.dir > 0;
    bench_out.down = d.dir < 0;
    bench_out.enable = d.enable;
}

/* A lamp that flashes, for a while or as long as the state lasts. */
static SELDOM void blink(void)
{
    if (d.flash > 0)
        d.flash--;
    light(lamp_lit(d.lamp, d.flash, (int)bench_in.tick + 1));
}

/* Nothing happens from here on until a wire changes: no event is there that this state
 * listens to, and none comes by mere waiting. */
static bool asleep(uint32_t happens)
{
    return d.at_rest > t.RUN_OUT && d.dir == 0 && !bench_in.pulses && !bench_in.net && !bench_in.store_busy &&
           d.in_state > max(t.WAKING, t.PAUSE) && d.flash == 0 && d.lamp != LAMP_FLASH && !d.sounder.busy &&
           !pen_busy(&d.pen) && !(happens & d.waits);
}

/* All that is not done at every tick of a run. */
static SELDOM void act(uint32_t happens)
{
    if (happens & d.waits)
        answer(happens);
    if (d.drive == 0 && ++d.at_rest == t.RUN_OUT && d.known)
        note_rest();
    if (d.dir != d.drive || d.enable != (d.drive != 0))
        switch_to(d.drive, !pen_busy(&d.pen) && !bench_in.store_busy);
    if (d.lamp == LAMP_FLASH || d.flash > 0)
        blink();
    bench_out.tone = sounder_tick(&d.sounder);
    pen_tick(&d.pen);
    say_asleep(d.drive == 0 && asleep(happens), t.SUPPLY_SPAN);
}

/* Makes up for ticks that were slept through. */
static void make_up(int missed)
{
    d.in_state += missed;
    d.at_rest += missed;
}

void door_tick(void)
{
    make_up(ticks_missed());
    follow();
    uint32_t happens = events();
    d.in_state++;
    /* On its way, with its coils as they are to be, nothing to show, to sound or to write. */
    bool under_way = (d.drive != 0) & (d.dir == d.drive) & d.enable & (d.lamp != LAMP_FLASH) & (d.flash == 0) & !d.sounder.busy &
                     !pen_busy(&d.pen) & !bench_out.write;
    if (!under_way || (happens & d.waits))
        act(happens);
    bench_out.counts = d.count;
}

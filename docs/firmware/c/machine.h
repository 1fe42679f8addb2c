/* What a table of states and transitions is made of. */
#ifndef MACHINE_H
#define MACHINE_H

#include <stdbool.h>
#include <stdint.h>

#define BIT(n) (1u << (n))
#define STAY (-1)

enum { LAMP_OFF, LAMP_ON, LAMP_FLASH };
enum { DUTY_FULL, DUTY_CLOSING, DUTY_SLOW, DUTY_TEACHING };

/* A state, and what is driven while it lasts. */
typedef struct {
    const char *name;
    int8_t drive; /* +1 up or lock, -1 down or unlock */
    uint8_t duty, lamp;
    uint8_t says; /* door: it is down; lock: the doors may move */
} state;

/* What answers an event in some states, if its guards hold. */
typedef struct {
    uint32_t from;      /* states, a bit each */
    uint8_t event;
    uint32_t need, bar; /* guards that must hold, and that must not */
    int8_t to;          /* the next state, or STAY */
    uint8_t alarm;      /* 0: none */
    uint32_t what;      /* what is done besides, a bit each */
} transition;

#define MOST_STATES 32

typedef struct {
    const transition *list;
    int n;
    int now;                       /* state */
    uint32_t listens[MOST_STATES]; /* events that a state waits for */
} machine;

static inline void machine_begin(machine *m, int start, const transition *list, int n)
{
    m->list = list;
    m->n = n;
    m->now = start;
    for (int i = 0; i < n; i++)
        for (int s = 0; s < MOST_STATES; s++)
            if (list[i].from & BIT(s))
                m->listens[s] |= BIT(list[i].event);
}

/* Tells whether a state waits for any of these events. Most ticks bring none. */
static inline bool machine_listens(const machine *m, uint32_t events) { return events & m->listens[m->now]; }

/* The transition that answers the events of a tick: of the first event in precedence
 * that has one whose guards hold. A table has one at most for each event. */
static inline const transition *machine_answer(const machine *m, uint32_t events, uint32_t guards)
{
    const transition *best = 0;
    for (int i = 0; i < m->n; i++) {
        const transition *t = &m->list[i];
        if (!(t->from & BIT(m->now)) || !(events & BIT(t->event)))
            continue;
        if ((guards & t->need) != t->need || (guards & t->bar))
            continue;
        if (!best || t->event < best->event)
            best = t;
    }
    return best;
}

/* Makes it. Tells whether a state begins with it. */
static inline bool machine_fire(machine *m, const transition *t)
{
    if (t->to == STAY)
        return false;
    m->now = t->to;
    return true;
}

#endif

/* The example controller: it behaves as the logic that ships with the bench. One
 * program serves a door and the locks; a strap, here the role, tells it which. */
#include "parts.h"

BENCH_IO(BENCH_DOOR | BENCH_LOCKS | BENCH_TELLS | BENCH_RECORDS | BENCH_SLEEPS)

uint32_t tick_us;
int flash_half;
static uint32_t my_role;

void bench_power_on(uint32_t role, uint32_t tick)
{
    my_role = role;
    tick_us = tick;
    flash_half = ticks(FLASH_HALF_US);
    if (my_role == BENCH_ROLE_LOCKS)
        locks_power_on();
    else
        door_power_on();
}

void bench_tick(void)
{
    if (my_role == BENCH_ROLE_LOCKS)
        locks_tick();
    else
        door_tick();
}

void bench_provision(int32_t travel, int32_t at) { door_provision(travel, at); }

int32_t bench_taught(void)
{
    record r;
    int next;
    return travel_read(&r, &next) ? r.value : -1;
}

const char *bench_state_name(uint32_t role, uint32_t n)
{
    return role == BENCH_ROLE_LOCKS ? locks_state_name(n) : door_state_name(n);
}

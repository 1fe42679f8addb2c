/* Makes a program of a controller: the frames of the bench over standard input and
 * output, and your functions between them. Link it with your firmware for the
 * machine that the bench runs on:
 *
 *     cc -O2 -o controller my_firmware.c program.c
 *
 * A frame from the bench is a head of four bytes, then as many bytes as it says:
 *
 *     kind  what follows                                       answer
 *     1     tick in µs (4 bytes), store (64)                   none
 *     2     bench_inputs (56)                                  bench_outputs (28)
 *     3     travel, at (4 each), store (64)                    store (64)
 *     4     store (64)                                         travel or -1 (4)
 *     5     state (4)                                          its name (32)
 *
 * head: kind, role (0 door, 1 locks), size (2 bytes, low first). Before the first
 * frame the program writes its bench_layout_t. All is little-endian. Standard error
 * is yours: the bench shows its end when something goes wrong. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench_io.h"

enum { POWER_ON = 1, TICK, PROVISION, TAUGHT, STATE_NAME };

static void give(const void *what, size_t size)
{
    if (fwrite(what, 1, size, stdout) != size || fflush(stdout) != 0)
        exit(1); /* the bench has gone */
}

static void refuse(const char *why, unsigned n)
{
    fprintf(stderr, "%s: %u\n", why, n);
    exit(2);
}

static void answer(unsigned kind, unsigned role, const uint8_t *body)
{
    uint32_t x = 0, y = 0;
    switch (kind) {
    case POWER_ON:
        memcpy(&x, body, 4);
        memcpy(bench_store, body + 4, sizeof bench_store);
        bench_power_on(role, x);
        break;
    case TICK:
        memcpy(&bench_in, body, sizeof bench_in);
        bench_tick();
        give(&bench_out, sizeof bench_out);
        break;
#ifndef WITHOUT_RECORDS
    case PROVISION:
        memcpy(&x, body, 4);
        memcpy(&y, body + 4, 4);
        memcpy(bench_store, body + 8, sizeof bench_store);
        bench_provision((int32_t)x, (int32_t)y);
        give(bench_store, sizeof bench_store);
        break;
    case TAUGHT: {
        memcpy(bench_store, body, sizeof bench_store);
        int32_t travel = bench_taught();
        give(&travel, sizeof travel);
        break;
    }
#endif
#ifndef WITHOUT_NAMES
    case STATE_NAME: {
        char name[32] = "";
        memcpy(&x, body, 4);
        strncpy(name, bench_state_name(role, x), sizeof name - 1);
        give(name, sizeof name);
        break;
    }
#endif
    default:
        refuse("a frame of no known kind", kind);
    }
}

int main(void)
{
    static const unsigned sizes[] = {0, 68, 56, 72, 64, 4};
    uint8_t head[4], body[72];
    give(bench_layout(), sizeof(bench_layout_t));
    while (fread(head, 1, sizeof head, stdin) == sizeof head) {
        unsigned kind = head[0], size = head[2] | (unsigned)head[3] << 8;
        if (kind == 0 || kind >= sizeof sizes / sizeof sizes[0] || size != sizes[kind])
            refuse("a frame of no known kind or size, kind", kind);
        if (fread(body, 1, size, stdin) != size)
            break;
        answer(kind, head[1], body);
    }
    return 0; /* the bench is done */
}

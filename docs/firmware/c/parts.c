#include "parts.h"

uint32_t next_tick;

/* CRC-32 of IEEE 802.3, bit by bit: three bytes are soon done. */
static uint32_t crc32(const uint8_t *b, int n)
{
    uint32_t c = 0xFFFFFFFFu;
    for (int i = 0; i < n; i++) {
        c ^= b[i];
        for (int k = 0; k < 8; k++)
            c = c >> 1 ^ (c & 1 ? 0xEDB88320u : 0);
    }
    return ~c;
}

void record_bytes(record r, uint8_t *b)
{
    b[0] = r.serial;
    b[1] = (uint8_t)r.value;
    b[2] = (uint8_t)((uint16_t)r.value >> 8);
    uint32_t c = crc32(b, 3);
    for (int i = 0; i < 4; i++)
        b[3 + i] = (uint8_t)(c >> (8 * i));
}

bool record_read(int at, record *r)
{
    const uint8_t *b = bench_store + at;
    uint32_t c = b[3] | (uint32_t)b[4] << 8 | (uint32_t)b[5] << 16 | (uint32_t)b[6] << 24;
    if (c != crc32(b, 3))
        return false;
    r->serial = b[0];
    r->value = (int16_t)(b[1] | b[2] << 8);
    return true;
}

bool travel_read(record *r, int *next)
{
    record a = {0, 0}, b = {0, 0};
    bool has_a = record_read(TRAVEL_A, &a) && a.value > 0;
    bool has_b = record_read(TRAVEL_B, &b) && b.value > 0;
    if (has_a && (!has_b || (int8_t)(a.serial - b.serial) > 0)) {
        *r = a;
        *next = TRAVEL_B;
        return true;
    }
    *next = TRAVEL_A;
    if (has_b)
        *r = b;
    return has_b;
}

void pen_byte(pen *p, int at, uint8_t b)
{
    if (p->i == p->n)
        p->i = p->n = 0;
    if (p->n < (int)sizeof p->at) {
        p->at[p->n] = (uint8_t)at;
        p->value[p->n] = b;
        p->n++;
    }
}

void pen_put(pen *p, int at, const uint8_t *b, int n)
{
    for (int i = 0; i < n; i++)
        pen_byte(p, at + i, b[i]);
}

void pen_write(pen *p)
{
    if (bench_in.store_busy)
        return;
    bench_out.write = 1;
    bench_out.write_at = p->at[p->i];
    bench_out.write_byte = p->value[p->i];
    p->i++;
}

/* The silence after a count is longer than any within it. */
#define TONE_US 120000
#define TONE_GAP_US 120000
#define TONE_BREAK_US 700000

/* A reset may have cut a count off, and power may be back at once: the first count after it
 * keeps its distance too. So long passes in silence before a controller works. */
#define RESET_US 250000

void sounder_begin(sounder *s)
{
    s->wait = ticks(TONE_BREAK_US - RESET_US);
    s->busy = true;
}

void sounder_sound(sounder *s, uint8_t alarm)
{
    for (int i = 0; i < s->n; i++)
        if (s->queue[i] == alarm)
            return;
    if (s->n < (int)sizeof s->queue)
        s->queue[s->n++] = alarm;
    s->busy = true;
}

static void sounder_next(sounder *s)
{
    s->left = s->queue[0] - 1;
    s->n--;
    for (int i = 0; i < s->n; i++)
        s->queue[i] = s->queue[i + 1];
    s->on = true;
    s->wait = ticks(TONE_US) - 1;
}

bool sounder_play(sounder *s)
{
    if (s->wait > 0) {
        s->wait--;
    } else if (s->on) {
        s->on = false;
        s->wait = (s->left == 0 ? ticks(TONE_BREAK_US) : ticks(TONE_GAP_US)) - 1;
    } else if (s->left > 0) {
        s->on = true;
        s->wait = ticks(TONE_US) - 1;
        s->left--;
    } else if (s->n > 0) {
        sounder_next(s);
    }
    s->busy = s->on || s->wait || s->left || s->n;
    return s->on;
}

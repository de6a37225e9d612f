#include "corrupt.h"

#include "config.h"

static uint8_t bucket;
static uint32_t leaked_ms;
static uint16_t count;

void corrupt_init(void) {
  bucket = 0;
  leaked_ms = 0;
  count = 0;
}

void corrupt_add(bool lease) {
  if (count != 0xFFFF) count++;
  if (lease && bucket < CORRUPT_BUCKET) bucket++;
}

void corrupt_poll(uint32_t now_ms) {
  if (!bucket) {
    leaked_ms = now_ms;
  } else if (now_ms - leaked_ms >= CORRUPT_LEAK_MS) {
    leaked_ms = now_ms;
    bucket--;
  }
}

bool corrupt_full(void) { return bucket >= CORRUPT_BUCKET; }

uint16_t corrupt_count(void) { return count; }

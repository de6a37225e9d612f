#include "nonce.h"

#include "config.h"

#define SEQUENCE_BITS 22

typedef struct {
  uint32_t nonce;
  uint32_t issued_ms;
  /* An entry only ever moves away from GOOD, so no wrap of the clock can make an old nonce young again. */
  uint8_t verdict;
} entry_t;

static entry_t kept[NONCES_KEPT];
static uint8_t latest;
static uint32_t secret;
static uint32_t counter;
static uint16_t token_count;

/* One-to-one on 32 bits (multiply by odd, fold by shift: each step can be undone), so that different
   counters give different nonces. */
static uint32_t scramble(uint32_t x) {
  x ^= secret;
  x ^= x >> 16;
  x *= 0x7FEB352Dul;
  x ^= x >> 15;
  x *= 0x846CA68Bul;
  x ^= x >> 16;
  return x + secret;
}

void nonce_init(uint32_t key, uint32_t boot_count) {
  secret = key;
  counter = boot_count << SEQUENCE_BITS;
  latest = 0;
  for (uint8_t i = 0; i < NONCES_KEPT; i++) kept[i].verdict = NONCE_UNKNOWN;
}

bool nonce_exhausted(void) {
  return (counter & ((1ul << SEQUENCE_BITS) - 1)) == ((1ul << SEQUENCE_BITS) - 1);
}

static bool too_old(const entry_t *entry, uint32_t now_ms) {
  return now_ms - entry->issued_ms > NONCE_MAX_AGE_MS;
}

uint32_t nonce_issue(uint32_t now_ms) {
  for (uint8_t i = 0; i < NONCES_KEPT; i++) {
    if (kept[i].verdict == NONCE_GOOD && too_old(&kept[i], now_ms)) kept[i].verdict = NONCE_STALE;
  }
  latest = (uint8_t)((latest + 1) % NONCES_KEPT);
  entry_t *entry = &kept[latest];
  entry->nonce = scramble(++counter);
  entry->issued_ms = now_ms;
  entry->verdict = NONCE_GOOD;
  return entry->nonce;
}

nonce_verdict_t nonce_spend(uint32_t nonce, uint32_t now_ms, uint32_t *issued_ms) {
  uint8_t at = latest;
  for (uint8_t back = 0; back < NONCES_KEPT; back++, at = (uint8_t)((at + NONCES_KEPT - 1) % NONCES_KEPT)) {
    entry_t *entry = &kept[at];
    if (entry->verdict == NONCE_UNKNOWN || entry->nonce != nonce) continue;
    nonce_verdict_t verdict = entry->verdict;
    if (verdict == NONCE_GOOD && too_old(entry, now_ms)) verdict = NONCE_STALE;
    *issued_ms = entry->issued_ms;
    for (; back < NONCES_KEPT; back++, at = (uint8_t)((at + NONCES_KEPT - 1) % NONCES_KEPT)) {
      if (kept[at].verdict == NONCE_GOOD) kept[at].verdict = NONCE_SPENT;
    }
    return verdict;
  }
  return NONCE_UNKNOWN;
}

uint16_t nonce_token(void) {
  uint16_t token = 0;
  /* Counted down from the top of this run's own number, far from where statuses count up. */
  while (!token) token = (uint16_t)(scramble(~(counter + (uint32_t)token_count++ * 0x10001ul)) >> 8);
  return token;
}

/* Nonces: none twice, none young again. */
#include <stdlib.h>

#include "fake_hal.h"

#include "bath.c"
#include "nonce.c"

static int by_value(const void *a, const void *b) {
  uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
  return x < y ? -1 : x > y;
}

static void none_repeats_across_resets(void) {
  enum { RESETS = 8, EACH = 50000 };
  uint32_t *all = malloc(sizeof *all * RESETS * EACH);
  for (uint32_t reset = 0; reset < RESETS; reset++) {
    nonce_init(0xC0FFEE11ul, 41 + reset);
    for (uint32_t i = 0; i < EACH; i++) all[reset * EACH + i] = nonce_issue(i * 250);
  }
  qsort(all, RESETS * EACH, sizeof *all, by_value);
  for (uint32_t i = 1; i < RESETS * EACH; i++) CHECK(all[i] != all[i - 1], "nonce %08x twice", all[i]);
  free(all);
}

static void run_ends_before_it_repeats(void) {
  nonce_init(1, 5);
  uint32_t count = 0;
  while (!nonce_exhausted()) {
    nonce_issue(0);
    count++;
  }
  CHECK(count == (1ul << SEQUENCE_BITS) - 1, "exhausted after %u", count);
}

/* About half of the bits differ between one nonce and the next. */
static void next_cannot_be_guessed_from_last(void) {
  uint32_t differing = 0;
  nonce_init(0x55AA1234ul, 7);
  uint32_t last = nonce_issue(0);
  for (int i = 0; i < 10000; i++) {
    uint32_t next = nonce_issue(0);
    differing += (uint32_t)__builtin_popcount(next ^ last);
    last = next;
  }
  CHECK(differing > 155000 && differing < 165000, "%u bits of 320000 differ", differing);
}

static void ages(uint32_t start) {
  uint32_t issued;
  nonce_init(9, 9);
  uint32_t nonce = nonce_issue(start);
  CHECK(nonce_spend(nonce, start + 700, &issued) == NONCE_GOOD, "700 ms is still good");
  CHECK(nonce_spend(nonce, start + 700, &issued) == NONCE_SPENT, "twice");
  nonce = nonce_issue(start + 1000);
  CHECK(nonce_spend(nonce, start + 1701, &issued) == NONCE_STALE, "701 ms is stale");
  CHECK(nonce_spend(nonce ^ 1, start + 1701, &issued) == NONCE_UNKNOWN, "unknown");
  uint32_t a = nonce_issue(start + 2000), b = nonce_issue(start + 2100);
  CHECK(nonce_spend(b, start + 2200, &issued) == NONCE_GOOD && issued == start + 2100, "b");
  CHECK(nonce_spend(a, start + 2200, &issued) == NONCE_SPENT, "an earlier one is spent with it");
}

/* 2^32 ms after its issue a nonce's age reads as nothing; it must be dead all the same. */
static void none_is_young_again(void) {
  uint32_t issued;
  nonce_init(9, 9);
  uint32_t old = nonce_issue(1000);
  nonce_issue(1000 + 250);
  nonce_issue(1000 + 1000);
  CHECK(nonce_spend(old, 1000, &issued) == NONCE_STALE, "old nonce came back");
}

static void bath_reading_is_never_young_again(void) {
  bath_forget();
  bath_good(960, 1360, 5);
  CHECK(bath_age(1005) == 1000, "age");
  CHECK(bath_age(5 + 65534) == 65534, "age");
  CHECK(bath_age(5 + 65535) == NO_AGE, "age");
  CHECK(bath_age(5) == NO_AGE, "a reading came back after the clock went round");
}

int main(void) {
  none_repeats_across_resets();
  run_ends_before_it_repeats();
  next_cannot_be_guessed_from_last();
  ages(1000);
  ages(0xFFFFFFFFul - 350);
  ages(0xFFFFFFFFul - 1350);
  none_is_young_again();
  bath_reading_is_never_young_again();
  printf("ok\n");
  return 0;
}

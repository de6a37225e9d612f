#include <string.h>

#include "probes.h"

#include "bath.h"
#include "config.h"
#include "limits.h"

#define SWEEPS_MISSED_MAX 2

static probe_t table[PROBES_MAX];
static uint8_t count;

void probes_init(void) { count = 0; }

uint8_t probes_count(void) { return count; }

probe_t *probe_at(uint8_t index) { return &table[index]; }

static probe_t *find_or_add(const uint8_t *rom, bool must) {
  for (uint8_t i = 0; i < count; i++) {
    if (!memcmp(table[i].rom, rom, 8)) return &table[i];
  }
  if (count == PROBES_MAX && !must) return 0;
  if (count < PROBES_MAX) count++;
  probe_t *probe = &table[count - 1];
  memcpy(probe->rom, rom, 8);
  probe->last_raw = NO_RAW;
  probe->missed = 0;
  probe->seen = false;
  return probe;
}

void probes_found(const uint8_t *rom) {
  probe_t *probe = find_or_add(rom, false);
  if (probe) probe->seen = true;
}

bool probe_is_bath(const probe_t *probe) { return limits_any() && !memcmp(probe->rom, limits()->rom, 8); }

void probes_keep_bath(void) { find_or_add(limits()->rom, true); }

void probes_swept(void) {
  uint8_t kept = 0;
  for (uint8_t i = 0; i < count; i++) {
    probe_t *probe = &table[i];
    probe->missed = probe->seen ? 0 : (uint8_t)(probe->missed + 1);
    probe->seen = false;
    if (probe->missed >= SWEEPS_MISSED_MAX) {
      if (!probe_is_bath(probe)) continue;
      probe->missed = SWEEPS_MISSED_MAX;
    }
    if (kept != i) table[kept] = *probe;
    kept++;
  }
  count = kept;
}

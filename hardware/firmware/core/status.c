#include "config.h"
#include "status.h"

#include "bath.h"
#include "conditions.h"
#include "corrupt.h"
#include "cycle.h"
#include "frame.h"
#include "hal.h"
#include "latch.h"
#include "lease.h"
#include "level.h"
#include "limits.h"
#include "messages.h"
#include "nonce.h"
#include "probes.h"
#include "sounder.h"

#define VARIANT (HAS_GUARD ? 1 : 2)

typedef struct {
  uint16_t blocks;
  uint8_t switches;
  uint8_t lease;
  uint8_t cause;
  uint8_t level;
} seen_t;

static seen_t told;
static uint32_t told_ms;
static bool ready; /* nonces are keyed with this reset's stored count */

void status_init(void) {
  ready = false;
  told_ms = 0;
}

static seen_t look(const lease_view_t *lease, uint32_t now_ms) {
  return (seen_t){
      .blocks = conditions_blocks(now_ms),
      .switches = (uint8_t)(lease->closed | hal_switches_measured() << 2),
      .lease = lease->switches,
      .cause = latch_cause(),
      .level = level_byte(),
  };
}

static bool same(const seen_t *a, const seen_t *b) {
  return a->blocks == b->blocks && a->switches == b->switches && a->lease == b->lease && a->cause == b->cause &&
         a->level == b->level;
}

static void send(const seen_t *seen, const lease_view_t *lease, uint32_t now_ms) {
  if (!frame_open(ID_STATUS, 47)) return;
  frame8(PROTOCOL_VERSION);
  frame8(FIRMWARE_MAJOR);
  frame8(FIRMWARE_MINOR);
  frame8(FIRMWARE_PATCH);
  frame8(VARIANT);
  frame32(now_ms);
  frame32(latch_boot_count());
  frame32(nonce_issue(now_ms));
  frame8(seen->switches);
  frame8(seen->lease);
  frame16(lease->left_ms);
  frame8(seen->cause);
  frame16(latch_detail());
  frame8(hal_reset_cause());
  frame8(seen->level);
  frame16(seen->blocks);
  frame16(limits_crc());
  frame8(messages_last_refusal());
  frame16(messages_refused());
  frame16(corrupt_count());
  frame16(hal_rx_lost());
  frame16(lease->heat_s);
  frame16(bath_age(now_ms));
  frame16((uint16_t)bath_raw());
  frame8(probes_count());
  frame8(sounder_pattern());
  frame16(cycle_conversion());
  frame_close();
  told = *seen;
  told_ms = now_ms;
}

/* Nonces wait until the reset count that makes them new is safely in EEPROM. */
static bool nonces_ready(void) {
  if (ready && nonce_exhausted()) {
    latch_count_boot();
    ready = false;
  }
  if (!ready && latch_booted()) {
    nonce_init(latch_key(), latch_boot_count());
    ready = true;
  }
  return ready;
}

void status_poll(uint32_t now_ms) {
  uint32_t since = now_ms - told_ms;
  if (since < STATUS_SPACING_MS || !nonces_ready()) return;
  lease_view_t lease = lease_view();
  seen_t seen = look(&lease, now_ms);
  if (since >= STATUS_PERIOD_MS || !same(&seen, &told)) send(&seen, &lease, now_ms);
}

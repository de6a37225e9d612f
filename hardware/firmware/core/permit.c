#include "config.h"
#include "permit.h"

#include "bath.h"
#include "bytes.h"
#include "conditions.h"
#include "latch.h"
#include "lease.h"
#include "limits.h"
#include "link.h"
#include "nonce.h"

/* Spend the nonce and compare the token; CODE_OK or why not. */
static answer_t check_origin(const uint8_t *body, uint32_t now_ms, uint32_t *issued_ms) {
  switch (nonce_spend(get32(body + 1), now_ms, issued_ms)) {
    case NONCE_UNKNOWN:
      return (answer_t){CODE_NONCE_UNKNOWN, 0};
    case NONCE_SPENT:
      return (answer_t){CODE_NONCE_SPENT, 0};
    case NONCE_STALE: {
      uint32_t age = now_ms - *issued_ms;
      return (answer_t){CODE_NONCE_STALE, age > 0xFFFF ? 0xFFFF : (uint16_t)age};
    }
    case NONCE_GOOD:
      break;
  }
  uint16_t session = limits_session();
  if (!session || get16(body + 5) != session) return (answer_t){CODE_NO_SESSION, 0};
  return (answer_t){CODE_OK, 0};
}

static bool switches_allowed(uint8_t switches) {
#if HAS_GUARD
  return switches >= 1 && switches <= 3;
#else
  return switches == SWITCH_REGULATING;
#endif
}

answer_t permit_lease(const uint8_t *body, uint32_t now_ms) {
  uint32_t issued_ms = 0;
  uint16_t duration_ms = get16(body + 7);
  uint8_t switches = body[9];
  answer_t origin = check_origin(body, now_ms, &issued_ms);
  if (origin.code != CODE_OK) return origin;
  if (duration_ms > LEASE_MAX_MS || now_ms - issued_ms >= duration_ms) return (answer_t){CODE_BAD_DURATION, 0};
  if (!switches_allowed(switches)) return (answer_t){CODE_BAD_SWITCHES, switches};
  if (latch_cause() != CAUSE_NONE) return (answer_t){CODE_LATCHED, latch_cause()};
  uint16_t blocks = conditions_blocks(now_ms);
  if (blocks) return (answer_t){CODE_CONDITION, blocks};
  uint16_t left = lease_grant(issued_ms, duration_ms, switches);
  if (!left) return (answer_t){CODE_BAD_DURATION, 0};
  link_heating(true);
  return (answer_t){CODE_OK, left};
}

answer_t permit_clear(const uint8_t *body, uint32_t now_ms) {
  uint32_t issued_ms = 0;
  answer_t origin = check_origin(body, now_ms, &issued_ms);
  if (origin.code != CODE_OK) return origin;
  if (latch_cause() == CAUSE_NONE) return (answer_t){CODE_NOT_LATCHED, 0};
  if (latch_cause() != body[7]) return (answer_t){CODE_WRONG_CAUSE, latch_cause()};
  uint16_t blocks = conditions_blocks(now_ms) & BLOCKS_RIG;
  /* Looser limits, set since, must not make the heat that tripped look cool. */
  if (latch_cause() == CAUSE_OVER_TEMPERATURE && bath_raw() > (int16_t)latch_detail() - OVER_HYSTERESIS_RAW) {
    blocks |= BLOCK_OVER_TEMPERATURE;
  }
  if (blocks) return (answer_t){CODE_CONDITION, blocks};
  if (latch_clearing() || !latch_clear()) return (answer_t){CODE_BUSY, 0};
  return (answer_t){CODE_OK, 0};
}

void permit_release(void) {
  lease_release();
  link_heating(false);
}

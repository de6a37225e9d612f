#include "config.h"
#include "messages.h"

#include "bath.h"
#include "bytes.h"
#include "conditions.h"
#include "corrupt.h"
#include "crc.h"
#include "cycle.h"
#include "frame.h"
#include "hal.h"
#include "latch.h"
#include "limits.h"
#include "link.h"
#include "pack7.h"
#include "permit.h"
#include "probes.h"
#include "sounder.h"

static uint8_t last_refusal;
static uint16_t refused;
static bool clear_open; /* a clear was accepted and EEPROM does not have it yet */
static uint8_t clear_tag;

void messages_init(void) {
  last_refusal = CODE_OK;
  refused = 0;
  clear_open = false;
}

static void answer(uint8_t tag, uint8_t id, answer_t with) {
  if (with.code != CODE_OK) {
    last_refusal = with.code;
    if ((id == ID_LEASE || id == ID_CLEAR) && refused != 0xFFFF) refused++;
  }
  if (!frame_open(ID_ANSWER, 5)) return;
  frame8(tag);
  frame8(id);
  frame8(with.code);
  frame16(with.detail);
  frame_close();
}

static answer_t take_limits(const uint8_t *body) {
  link_end();
  uint8_t outside = limits_judge(body + 1);
  if (outside & OUTSIDE_ROM) return (answer_t){CODE_BAD_ROM, 0};
  if (outside) return (answer_t){CODE_OUTSIDE_CEILING, outside};
  limits_set(body + 1);
  bath_forget();
  probes_keep_bath();
  return (answer_t){CODE_OK, limits_crc()};
}

static void send_read_back(uint8_t tag) {
  static const limits_t none;
  uint16_t session = limits_read_back();
  const limits_t *now = limits_any() ? limits() : &none;
  if (!frame_open(ID_READ_BACK, 32)) return;
  frame8(tag);
  frame8((uint8_t)((limits_any() ? 1 : 0) | (session ? 2 : 0)));
  frame16(session);
  frame_bytes(now->rom, 8);
  frame16((uint16_t)now->max_raw);
  frame16(now->max_heat_s);
  frame16(now->silence_ms);
  frame16(limits_crc());
  frame16(CEILING_MAX_RAW);
  frame16(FLOOR_MAX_RAW);
  frame16(CEILING_MAX_HEAT_S);
  frame16(FLOOR_MAX_HEAT_S);
  frame16(CEILING_SILENCE_MS);
  frame16(FLOOR_SILENCE_MS);
  frame_close();
}

static answer_t take_sounder(const uint8_t *body, uint32_t now_ms) {
  bool good = sounder_ask(body[1], get16(body + 2), now_ms);
  return (answer_t){good ? CODE_OK : CODE_BAD_ARGUMENT, 0};
}

static answer_t take_trip(const uint8_t *body) {
  trip(CAUSE_HOST, get16(body + 1));
  return (answer_t){CODE_OK, latch_cause()};
}

/* Body length of each message from the host, by id less ID_LEASE. */
static const uint8_t body_bytes[] = {10, 15, 1, 8, 4, 3, 1};

static void carry_out(uint8_t id, const uint8_t *body, uint32_t now_ms) {
  answer_t with = {CODE_OK, 0};
  link_heard(now_ms);
  switch (id) {
    case ID_LEASE:
      with = permit_lease(body, now_ms);
      break;
    case ID_LIMITS:
      with = take_limits(body);
      link_heard(now_ms);
      break;
    case ID_LIMITS_QUERY:
      send_read_back(body[0]);
      return;
    case ID_CLEAR:
      with = permit_clear(body, now_ms);
      if (with.code != CODE_OK) break;
      clear_open = true;
      clear_tag = body[0];
      return;
    case ID_SOUNDER:
      with = take_sounder(body, now_ms);
      break;
    case ID_TRIP:
      with = take_trip(body);
      break;
    case ID_RELEASE:
      permit_release();
      break;
  }
  answer(body[0], id, with);
}

void messages_take(uint8_t id, uint8_t *packed, uint8_t count) {
  uint16_t crc = crc16_add(CRC16_START, id);
  int16_t total = unpack7(packed, count);
  bool sound = total >= 2 && packed_length((uint8_t)total) == count;
  for (int16_t i = 0; sound && i < total - 2; i++) crc = crc16_add(crc, packed[i]);
  if (!sound || crc != get16(packed + total - 2)) {
    corrupt_add(id == ID_LEASE);
    answer(0, id, (answer_t){CODE_BAD_CRC, 0});
  } else if (id < ID_LEASE || id > ID_RELEASE) {
    answer(total > 2 ? packed[0] : 0, id, (answer_t){CODE_UNKNOWN_ID, 0});
  } else if (total - 2 != body_bytes[id - ID_LEASE]) {
    corrupt_add(id == ID_LEASE);
    answer(total > 2 ? packed[0] : 0, id, (answer_t){CODE_BAD_LENGTH, (uint16_t)(total - 2)});
  } else {
    carry_out(id, packed, hal_now_ms());
  }
}

void messages_poll(void) {
  if (!clear_open || latch_clearing()) return;
  clear_open = false;
  bool cleared = latch_cause() == CAUSE_NONE;
  answer(clear_tag, ID_CLEAR, (answer_t){cleared ? CODE_OK : CODE_LATCHED, latch_cause()});
}

void messages_probe(uint8_t index, uint8_t flags, const uint8_t *rom, const uint8_t *scratchpad) {
  if (!frame_open(ID_PROBE, 26)) return;
  frame16(cycle_conversion());
  frame8(index);
  frame8(probes_count());
  frame8(flags);
  frame_bytes(rom, 8);
  frame_bytes(scratchpad, 9);
  frame32(hal_now_ms());
  frame_close();
}

uint8_t messages_last_refusal(void) { return last_refusal; }

uint16_t messages_refused(void) { return refused; }

#include "config.h"
#include "onewire_requests.h"

#include <stdbool.h>
#include <string.h>

#include "bus.h"
#include "bytes.h"
#include "crc.h"
#include "cycle.h"
#include "firmata.h"
#include "hal.h"
#include "limits.h"
#include "pack7.h"
#include "pins.h"

#define ONE_WIRE 0x73
#define SEARCH 0x40
#define CONFIG 0x41
#define SEARCH_REPLY 0x42
#define READ_REPLY 0x43
#define ALARM_SEARCH 0x44
#define ALARM_SEARCH_REPLY 0x45

#define BIT_RESET 0x01
#define BIT_SKIP 0x02
#define BIT_SELECT 0x04
#define BITS_DATA 0x3C

#define HEAD_BYTES 16 /* ROM 8, bytes to read 2, correlation 2, delay 4 */
#define WRITE_MAX 16
#define SKIP_ROM 0xCC
#define SEARCH_ROM 0xF0
#define ALARM_SEARCH_ROM 0xEC
#define DELAY_MAX_MS 10000ul

/* Requests wait here: length, subcommand, data. */
static uint8_t queue[112];
static uint8_t queued;

typedef enum { FREE, SWEEPING, SWEPT, TALKING, DELAYING } state_t;
static state_t state;
static uint32_t delay_from_ms;
static uint32_t delay_ms;
static uint16_t correlation;
static search_t search;
static uint8_t found[PROBES_MAX * 8];
static uint8_t found_count;

void requests_init(void) {
  queued = 0;
  if (state == DELAYING) state = FREE; /* a job under way ends by itself */
}

void requests_take(uint8_t *data, uint8_t count) {
  if (count < 2 || data[1] != PIN_ONE_WIRE || data[0] == CONFIG) return;
  if (limits_any()) {
    firmata_string("1-Wire refused: limits are set, so the firmware masters the bus. Read the probe messages.");
    return;
  }
  int16_t bytes = unpack7(data + 2, (uint8_t)(count - 2));
  if (bytes < 0 || bytes > HEAD_BYTES + WRITE_MAX || queued + bytes + 2 > (int16_t)sizeof queue) {
    firmata_string("1-Wire refused: request too long, or too many waiting.");
    return;
  }
  queue[queued] = (uint8_t)(bytes + 2);
  queue[queued + 1] = data[0];
  memcpy(queue + queued + 2, data + 2, (size_t)bytes);
  queued = (uint8_t)(queued + bytes + 2);
}

static void begin_pass(bool alarms) {
  bus_clear();
  bus.reset = true;
  bus_send(alarms ? ALARM_SEARCH_ROM : SEARCH_ROM);
  bus.search = &search;
  bus_start();
}

/* Reset, select, write, read as one job; a delay comes after it. */
static void begin_talk(uint8_t sub, const uint8_t *data, uint8_t count, uint32_t now_ms) {
  uint8_t writes = 0;
  uint16_t reads = 0;
  delay_ms = 0;
  bus_clear();
  bus.reset = sub & BIT_RESET;
  if (sub & BIT_SKIP) bus_send(SKIP_ROM);
  if ((sub & BITS_DATA) && count >= HEAD_BYTES) {
    writes = (uint8_t)(count - HEAD_BYTES);
    reads = get16(data + 8);
    correlation = get16(data + 10);
    delay_ms = get32(data + 12);
    if (reads > BUS_RECEIVE_MAX) reads = BUS_RECEIVE_MAX;
    if (delay_ms > DELAY_MAX_MS) delay_ms = DELAY_MAX_MS;
    /* A host library sets all the data bits whatever it means: a ROM of zeros selects nobody. */
    if ((sub & BIT_SELECT) && data[0]) bus_send_match(data);
    for (uint8_t i = 0; i < writes; i++) bus_send(data[HEAD_BYTES + i]);
    bus.receive_count = (uint8_t)reads;
  }
  delay_from_ms = now_ms;
  bus_start();
  state = TALKING;
}

static void begin_next(uint32_t now_ms) {
  uint8_t length = queue[0];
  uint8_t sub = queue[1];
  if (sub == SEARCH || sub == ALARM_SEARCH) {
    found_count = 0;
    search_begin(&search);
    begin_pass(sub == ALARM_SEARCH);
    state = SWEEPING;
    return; /* stays queued until answered, so that its kind is known */
  }
  begin_talk(sub, queue + 2, (uint8_t)(length - 2), now_ms);
}

static void drop_first(void) {
  if (!queued) return; /* a system reset has emptied the queue meanwhile */
  uint8_t length = queue[0];
  queued = (uint8_t)(queued - length);
  memmove(queue, queue + length, queued);
}

static bool reply_open(uint8_t sub, uint8_t bytes) {
  if (hal_tx_room() < packed_length(bytes) + 5) return false;
  hal_tx(0xF0);
  hal_tx(ONE_WIRE);
  hal_tx(sub);
  hal_tx(PIN_ONE_WIRE);
  pack7_start();
  return true;
}

static void reply_bytes(const uint8_t *bytes, uint8_t count) {
  while (count--) pack7_put(*bytes++);
}

static void reply_close(void) {
  pack7_end();
  hal_tx(0xF7);
}

static bool for_alarms(void) { return queued && queue[1] == ALARM_SEARCH; }

static void continue_sweep(void) {
  bool good = !bus.failed && crc8(search.rom, 7) == search.rom[7];
  if (good && found_count < PROBES_MAX) memcpy(found + 8 * found_count++, search.rom, 8);
  if (good && search_more(&search) && found_count < PROBES_MAX) {
    begin_pass(for_alarms());
  } else {
    state = SWEPT;
  }
}

static void end_sweep(void) {
  if (!reply_open(for_alarms() ? ALARM_SEARCH_REPLY : SEARCH_REPLY, (uint8_t)(found_count * 8))) return;
  reply_bytes(found, (uint8_t)(found_count * 8));
  reply_close();
  drop_first();
  state = FREE;
}

static void end_talk(void) {
  uint8_t reads = bus.receive_count;
  if (reads) {
    if (!reply_open(READ_REPLY, (uint8_t)(reads + 2))) return;
    if (bus.failed) memset(bus.receive, 0xFF, reads);
    pack7_put((uint8_t)correlation);
    pack7_put((uint8_t)(correlation >> 8));
    reply_bytes(bus.receive, reads);
    reply_close();
  }
  drop_first();
  state = delay_ms ? DELAYING : FREE;
}

void requests_poll(uint32_t now_ms) {
  if (limits_any()) {
    /* A host that wants heat outranks a reader, whose answer is dropped. */
    queued = 0;
    if (!bus_busy()) state = FREE;
  }
  if (state == FREE && !queued) return;
  cycle_pause(now_ms);
  if (bus_busy()) return;
  switch (state) {
    case FREE:
      if (cycle_idle()) begin_next(now_ms);
      break;
    case SWEEPING:
      continue_sweep();
      break;
    case SWEPT:
      end_sweep();
      break;
    case TALKING:
      end_talk();
      break;
    case DELAYING:
      if (now_ms - delay_from_ms >= delay_ms) state = FREE;
      break;
  }
}

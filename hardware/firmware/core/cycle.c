#include <string.h>

#include "config.h"
#include "cycle.h"

#include "bath.h"
#include "bus.h"
#include "conditions.h"
#include "crc.h"
#include "hal.h"
#include "limits.h"
#include "messages.h"
#include "probes.h"
#include "scratchpad.h"

#define SKIP_ROM 0xCC
#define SEARCH_ROM 0xF0
#define CONVERT_T 0x44
#define READ_SCRATCHPAD 0xBE
#define WRITE_SCRATCHPAD 0x4E
#define TWELVE_BIT 0x7F

typedef enum { STARTING, IDLE, CONVERTING, WAITING, READING, MENDING, SEARCHING } state_t;

static state_t state;
static uint32_t began_ms;
static uint32_t converted_ms;
static uint32_t pause_ms;
static bool paused;
static uint16_t conversion;
static uint8_t turn;  /* how many probes of this cycle have been read */
static uint8_t reads; /* of the probe whose turn it is */
static uint8_t index; /* of that probe in the table */
static search_t search;
static bool first_sweep;
static bool search_now; /* every other cycle: a new probe can wait, and the bus has time for eight */

void cycle_init(void) {
  state = STARTING;
  first_sweep = true;
  search_now = false;
  paused = false;
  conversion = 0;
  search_begin(&search);
  probes_init();
}

uint16_t cycle_conversion(void) { return conversion; }

bool cycle_idle(void) { return state == IDLE; }

void cycle_pause(uint32_t now_ms) {
  paused = true;
  pause_ms = now_ms;
  if (state == WAITING && !limits_any()) state = IDLE; /* the conversion under way is given up */
}

static void begin_search_pass(void) {
  bus_clear();
  bus.reset = true;
  bus_send(SEARCH_ROM);
  bus.search = &search;
  bus_start();
  state = SEARCHING;
}

/* The bath probe has the first turn, so that its reading is the freshest. */
static uint8_t index_of_turn(void) {
  uint8_t bath = 0;
  for (uint8_t i = 0; i < probes_count(); i++) {
    if (probe_is_bath(probe_at(i))) bath = i;
  }
  if (turn == 0) return bath;
  return turn <= bath ? (uint8_t)(turn - 1) : turn;
}

static void begin_read(void) {
  bus_clear();
  bus.reset = true;
  bus_send_match(probe_at(index)->rom);
  bus_send(READ_SCRATCHPAD);
  bus.receive_count = 9;
  bus_start();
  state = READING;
}

static void next_turn(void) {
  reads = 0;
  for (; turn < probes_count(); turn++) {
    static const uint8_t nothing[9];
    index = index_of_turn();
    if (probe_at(index)->rom[0] == FAMILY_DS18B20) break;
    messages_probe(index, READ_BAD_FIXED, probe_at(index)->rom, nothing);
  }
  if (turn < probes_count()) {
    begin_read();
  } else if ((search_now = !search_now)) {
    begin_search_pass();
  } else {
    state = IDLE;
  }
}

static uint8_t judge_answer(int16_t last_raw) {
  if (bus.presence == OW_PRESENT) return scratchpad_judge(bus.receive, last_raw);
  memset(bus.receive, bus.presence == OW_SHORTED ? 0 : 0xFF, 9);
  return bus.presence == OW_SHORTED ? READ_SILENT | READ_SHORTED : READ_SILENT;
}

/* Resolution lives in the probe and is lost with its supply: set it again, keeping its two alarm bytes. */
static void begin_mending(const probe_t *probe) {
  uint8_t high = bus.receive[2];
  uint8_t low = bus.receive[3];
  bus_clear();
  bus.reset = true;
  bus_send_match(probe->rom);
  bus_send(WRITE_SCRATCHPAD);
  bus_send(high);
  bus_send(low);
  bus_send(TWELVE_BIT);
  bus_start();
  state = MENDING;
}

/* New limits may have changed the table while the answer came: it belongs to the ROM code that was asked. */
static bool is_from(const probe_t *probe) { return !memcmp(bus.send + 1, probe->rom, 8); }

static void take_reading(uint32_t now_ms) {
  probe_t *probe = probe_at(index);
  if (!is_from(probe)) {
    turn++;
    next_turn();
    return;
  }
  bool bath = probe_is_bath(probe);
  uint8_t flags = judge_answer(probe->last_raw);
  if (bath && !(flags & (READ_GOOD | READ_POWER_ON)) && ++reads < BATH_READS_MAX) {
    begin_read();
    return;
  }
  bool mend = (flags & (READ_GOOD | READ_POWER_ON)) && bus.receive[4] != TWELVE_BIT;
  if (flags & READ_GOOD) probe->last_raw = scratchpad_raw(bus.receive);
  if (bath) {
    flags |= READ_IS_BATH;
    if (flags & READ_GOOD) {
      conditions_bath_good(probe->last_raw, now_ms);
    } else {
      bath_bad(flags & READ_SILENT);
    }
  }
  if (mend) flags |= READ_RECONFIGURED;
  messages_probe(index, flags, probe->rom, bus.receive);
  turn++;
  if (mend) {
    begin_mending(probe);
  } else {
    next_turn();
  }
}

/* A pass is over: note what it found; at the end of a sweep, tidy the table. */
static void take_pass(void) {
  bool empty = bus.failed && bus.presence != OW_PRESENT;
  bool good = !bus.failed && crc8(search.rom, 7) == search.rom[7] && search.rom[0];
  if (good) probes_found(search.rom);
  state = IDLE;
  if (good && search_more(&search)) {
    if (first_sweep) begin_search_pass();
    return;
  }
  /* A pass that broke off says nothing about the devices it did not reach. */
  if (good || empty) probes_swept();
  search_begin(&search);
  first_sweep = false;
}

static void begin_conversion(uint32_t now_ms) {
  began_ms += CONVERT_PERIOD_MS;
  if (now_ms - began_ms >= CONVERT_PERIOD_MS) began_ms = now_ms;
  conversion++;
  turn = 0;
  bus_clear();
  bus.reset = true;
  bus_send(SKIP_ROM);
  bus_send(CONVERT_T);
  bus_start();
  state = CONVERTING;
}

static void poll_idle(uint32_t now_ms) {
  if (paused && !limits_any() && now_ms - pause_ms < PLAIN_READER_MS) return;
  paused = false;
  if (now_ms - began_ms >= CONVERT_PERIOD_MS) begin_conversion(now_ms);
}

void cycle_poll(uint32_t now_ms) {
  if (bus_busy()) return;
  switch (state) {
    case STARTING:
      began_ms = now_ms - CONVERT_PERIOD_MS;
      begin_search_pass();
      break;
    case IDLE:
      poll_idle(now_ms);
      break;
    case CONVERTING:
      converted_ms = now_ms;
      state = WAITING;
      break;
    case WAITING:
      if (now_ms - converted_ms < CONVERT_WAIT_MS) break;
      if (!probes_count()) {
        static const uint8_t nothing[9];
        messages_probe(0xFF, READ_SILENT, nothing, nothing);
      }
      next_turn();
      break;
    case READING:
      take_reading(now_ms);
      break;
    case MENDING:
      next_turn();
      break;
    case SEARCHING:
      take_pass();
      break;
  }
}

#include "ring.h"

#include "bytes.h"
#include "crc.h"
#include "hal.h"

#define SLOTS_TRIED 8

static struct {
  ring_t *ring;
  uint8_t record[RECORD_MAX];
  uint8_t next; /* byte to write next */
  uint8_t slot;
  uint8_t tries;
  bool failed;
  bool wiping; /* the record is safe; rubbish in the slot after it, which would look like a cut-off write, goes */
} job;

static uint8_t record_bytes(const ring_t *ring) { return (uint8_t)(ring->payload + 4); }

static uint16_t address_of(const ring_t *ring, uint8_t slot) {
  return (uint16_t)(ring->base + (uint16_t)slot * record_bytes(ring));
}

/* Read a slot; true when its CRC is right. blank: nothing was ever written there. */
static bool read_slot(const ring_t *ring, uint8_t slot, uint8_t *record, bool *blank) {
  uint8_t count = record_bytes(ring);
  uint16_t from = address_of(ring, slot);
  *blank = true;
  for (uint8_t i = 0; i < count; i++) {
    record[i] = hal_eeprom_read(from + i);
    if (record[i] != 0xFF) *blank = false;
  }
  return !*blank && crc16(record, (uint8_t)(count - 2)) == get16(record + count - 2);
}

void ring_scan(ring_t *ring, uint8_t *payload) {
  uint8_t record[RECORD_MAX];
  bool blank;
  ring->any = false;
  for (uint8_t slot = 0; slot < ring->slots; slot++) {
    if (!read_slot(ring, slot, record, &blank)) continue;
    uint16_t number = get16(record);
    if (ring->any && (int16_t)(number - ring->number) <= 0) continue;
    ring->any = true;
    ring->at = slot;
    ring->number = number;
    for (uint8_t i = 0; i < ring->payload; i++) payload[i] = record[2 + i];
  }
  if (!ring->any) ring->at = (uint8_t)(ring->slots - 1);
  bool valid = read_slot(ring, (uint8_t)((ring->at + 1) % ring->slots), record, &blank);
  ring->torn = !valid && !blank;
}

static void aim_at_next_slot(void) {
  job.slot = (uint8_t)((job.slot + 1) % job.ring->slots);
  job.next = 0;
}

void ring_write(ring_t *ring, const uint8_t *payload) {
  uint8_t count = record_bytes(ring);
  job.ring = ring;
  put16(job.record, (uint16_t)(ring->number + 1));
  for (uint8_t i = 0; i < ring->payload; i++) job.record[2 + i] = payload[i];
  put16(job.record + count - 2, crc16(job.record, (uint8_t)(count - 2)));
  job.slot = ring->at;
  job.tries = 0;
  job.wiping = false;
  aim_at_next_slot();
}

static bool reads_back(void) {
  uint16_t from = address_of(job.ring, job.slot);
  for (uint8_t i = 0; i < record_bytes(job.ring); i++) {
    if (hal_eeprom_read(from + i) != job.record[i]) return false;
  }
  return true;
}

/* The record reads back: from now on it is the latest. */
static void accept_record(void) {
  uint8_t record[RECORD_MAX];
  bool blank;
  job.ring->at = job.slot;
  job.ring->number++;
  job.ring->any = true;
  job.failed = false;
  aim_at_next_slot();
  job.wiping = !read_slot(job.ring, job.slot, record, &blank) && !blank;
  if (!job.wiping) job.ring = 0;
}

void ring_poll(void) {
  if (!job.ring || !hal_eeprom_ready()) return;
  if (job.next < record_bytes(job.ring)) {
    uint16_t address = (uint16_t)(address_of(job.ring, job.slot) + job.next);
    hal_eeprom_write(address, job.wiping ? 0xFF : job.record[job.next]);
    job.next++;
  } else if (job.wiping) {
    job.ring = 0;
  } else if (reads_back()) {
    accept_record();
  } else if (++job.tries < SLOTS_TRIED) {
    aim_at_next_slot(); /* a worn cell: the next slot will do */
  } else {
    job.failed = true;
    job.ring = 0;
  }
}

bool ring_busy(void) { return job.ring != 0; }

bool ring_failed(void) { return job.failed; }

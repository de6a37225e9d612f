/* Checks, codes and the ROM search against the parts' data sheets. */
#include <string.h>

#include "fake_hal.h"

#include "bath.h"
#include "crc.h"
#include "pack7.h"
#include "scratchpad.h"
#include "search.h"

#include "limits.c"

uint16_t nonce_token(void) { return 1; }

/* ---- a bus of devices that know nothing but their ROM code ---- */

#define DEVICES_MAX 64
static uint8_t devices[DEVICES_MAX][8];
static int device_count;
static int listening[DEVICES_MAX];
static int position; /* 3 slots a bit */

static int rom_bit(int device, int bit) { return (devices[device][bit >> 3] >> (bit & 7)) & 1; }

/* Open drain: the line is high only if all who talk let it go. */
uint8_t hal_ow_read_bit(void) {
  int bit = position / 3, complement = position % 3;
  int line = 1;
  for (int i = 0; i < device_count; i++) {
    if (listening[i]) line &= rom_bit(i, bit) ^ complement;
  }
  position++;
  return (uint8_t)line;
}

void hal_ow_write_bit(uint8_t value) {
  int bit = position / 3;
  CHECK(position % 3 == 2, "wrote out of turn");
  for (int i = 0; i < device_count; i++) {
    if (rom_bit(i, bit) != value) listening[i] = 0;
  }
  position++;
}

static void reset_bus(void) {
  position = 0;
  for (int i = 0; i < device_count; i++) listening[i] = 1;
}

/* A whole sweep; gives how many passes it took and the ROM codes in order. */
static int sweep(uint8_t found[][8]) {
  search_t search;
  int passes = 0;
  search_begin(&search);
  do {
    reset_bus();
    search_pass(&search);
    while (!search_pass_done(&search)) CHECK(search_bit(&search), "nobody answered");
    memcpy(found[passes++], search.rom, 8);
    CHECK(passes <= device_count, "more passes than devices");
  } while (search_more(&search));
  return passes;
}

/* DS18B20 data sheet, "Example of a ROM Search": four devices whose first eight bits on the wire are given; taking the
   0 branch first finds ROM4, ROM1, ROM2, ROM3. */
static void data_sheet_example(void) {
  static const char *const first_bits[] = {"00110101", "10101010", "11110101", "00010001"};
  static const int order[] = {3, 0, 1, 2};
  uint8_t found[4][8];
  device_count = 4;
  memset(devices, 0, sizeof devices);
  for (int i = 0; i < 4; i++) {
    for (int bit = 0; bit < 8; bit++) devices[i][0] |= (uint8_t)((first_bits[i][bit] - '0') << bit);
  }
  CHECK(sweep(found) == 4, "found %d", sweep(found));
  for (int i = 0; i < 4; i++) CHECK(!memcmp(found[i], devices[order[i]], 8), "pass %d", i);
}

static void every_set_of_devices(void) {
  uint8_t found[DEVICES_MAX][8];
  srand(11);
  for (int round = 0; round < 300; round++) {
    device_count = 1 + rand() % DEVICES_MAX;
    for (int i = 0; i < device_count; i++) {
      /* Codes that share long beginnings and differ late are the hard ones. */
      for (int byte = 0; byte < 8; byte++) devices[i][byte] = (uint8_t)(round & 1 && byte < 7 ? 0x28 : rand());
      if (round & 1) devices[i][7] = (uint8_t)i;
    }
    CHECK(sweep(found) == device_count, "round %d: found %d of %d", round, sweep(found), device_count);
    for (int i = 0; i < device_count; i++) {
      int seen = 0;
      for (int j = 0; j < device_count; j++) seen += !memcmp(found[j], devices[i], 8);
      CHECK(seen >= 1, "round %d: device %d missed", round, i);
    }
  }
}

static void nobody_there(void) {
  search_t search;
  device_count = 0;
  search_begin(&search);
  reset_bus();
  search_pass(&search);
  CHECK(!search_bit(&search), "an empty bus gave a device");
}

/* ---- checks ---- */

static void check_values(void) {
  /* Catalogue of CRC algorithms, CRC-16/IBM-3740 (CCITT-FALSE): check value 0x29B1. */
  CHECK(crc16((const uint8_t *)"123456789", 9) == 0x29B1, "CRC-16");
  /* Maxim application note 27: family 02, serial number 00 00 00 01 B8 1C, CRC A2. */
  static const uint8_t rom[] = {0x02, 0x1C, 0xB8, 0x01, 0x00, 0x00, 0x00};
  CHECK(crc8(rom, 7) == 0xA2, "CRC-8 of a ROM code");
  /* The eight-step form against the definition, bit by bit. */
  for (uint32_t crc = 0; crc < 0x10000; crc += 251) {
    for (int byte = 0; byte < 256; byte++) {
      uint16_t slow = (uint16_t)(crc ^ (byte << 8));
      for (int bit = 0; bit < 8; bit++) slow = (uint16_t)(slow & 0x8000 ? (slow << 1) ^ 0x1021 : slow << 1);
      CHECK(crc16_add((uint16_t)crc, (uint8_t)byte) == slow, "crc %x byte %x", crc, byte);
    }
  }
}

/* ---- scratchpads ---- */

static uint8_t judge(int16_t raw, int16_t last) {
  uint8_t pad[9] = {(uint8_t)raw, (uint8_t)(raw >> 8), 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10, 0};
  pad[8] = crc8(pad, 8);
  CHECK(scratchpad_raw(pad) == raw, "raw %d", raw);
  return scratchpad_judge(pad, last);
}

static void codes(void) {
  /* DS18B20 data sheet, table 1, "Temperature/Data Relationship": degC times 10,000, code. */
  static const struct {
    int32_t celsius;
    uint16_t code;
  } table[] = {{1250000, 0x07D0}, {850000, 0x0550},  {250625, 0x0191},  {101250, 0x00A2},  {5000, 0x0008},
               {0, 0x0000},       {-5000, 0xFFF8},   {-101250, 0xFF5E}, {-250625, 0xFE6F}, {-550000, 0xFC90}};
  for (unsigned i = 0; i < sizeof table / sizeof *table; i++) {
    int16_t raw = (int16_t)table[i].code;
    CHECK((int32_t)raw * 625 == table[i].celsius, "%d", table[i].celsius);
    CHECK(judge(raw, raw) == READ_GOOD, "%d is good", table[i].celsius);
  }
  CHECK(judge(125 * 16 + 1, 0) == READ_BAD_FIXED, "above the range of the part");
  CHECK(judge(-55 * 16 - 1, 0) == READ_BAD_FIXED, "below the range of the part");
}

static void power_on_value(void) {
  CHECK(judge(0x0550, NO_RAW) == READ_POWER_ON, "first reading");
  CHECK(judge(0x0550, 60 * 16) == READ_POWER_ON, "a jump from 60");
  CHECK(judge(0x0550, 80 * 16 - 1) == READ_POWER_ON, "a jump of more than 5");
  CHECK(judge(0x0550, 80 * 16) == READ_GOOD, "5 below");
  CHECK(judge(0x0550, 90 * 16) == READ_GOOD, "5 above");
  CHECK(judge(0x0550, 90 * 16 + 1) == READ_POWER_ON, "a fall of more than 5");
  CHECK(judge(0x0551, NO_RAW) == READ_GOOD, "85.0625 is no power-on value");
}

static void spoilt(void) {
  uint8_t zero[9] = {0};
  uint8_t ones[9];
  memset(ones, 0xFF, 9);
  CHECK(crc8(zero, 8) == zero[8], "nine zeros have a right CRC");
  CHECK(scratchpad_judge(zero, 0) == READ_BAD_FIXED, "a bus held low");
  CHECK(scratchpad_judge(ones, 0) == READ_SILENT, "a bus that nobody pulls");
  /* A scratchpad read from a part at 25.5 degC: 98 01 4B 46 7F FF 08 10 22 (public examples of an STM8 1-Wire driver). */
  static const uint8_t real[9] = {0x98, 0x01, 0x4B, 0x46, 0x7F, 0xFF, 0x08, 0x10, 0x22};
  CHECK(scratchpad_judge(real, 0) == READ_GOOD && scratchpad_raw(real) == 408, "a real scratchpad");
  for (int bit = 0; bit < 72; bit++) {
    uint8_t pad[9];
    memcpy(pad, real, 9);
    pad[bit >> 3] ^= (uint8_t)(1 << (bit & 7));
    CHECK(scratchpad_judge(pad, 0) != READ_GOOD, "bit %d flipped", bit);
  }
}

/* ---- limits ---- */

static void flipped_limits(void) {
  uint8_t sent[LIMITS_BYTES] = {0x28, 1, 2, 3, 4, 5, 6, 0, 0x50, 0x05, 0x40, 0x38, 0xB8, 0x0B};
  sent[7] = crc8(sent, 7);
  CHECK(limits_judge(sent) == 0, "judged %u", limits_judge(sent));
  for (int bit = 0; bit < LIMITS_BYTES * 8; bit++) {
    limits_set(sent);
    CHECK(limits_intact(), "not intact as set");
    ((uint8_t *)&in_force)[bit >> 3] ^= (uint8_t)(1 << (bit & 7));
    CHECK(!limits_intact(), "bit %d not noticed", bit);
  }
}

/* ---- packing ---- */

static uint8_t line[64];
static uint8_t line_count;
uint8_t hal_tx_room(void) { return 255; }
void hal_tx(uint8_t byte) { line[line_count++] = byte; }

static void packing(void) {
  for (int round = 0; round < 2000; round++) {
    uint8_t bytes[40];
    uint8_t count = (uint8_t)(rand() % 40);
    line_count = 0;
    pack7_start();
    for (int i = 0; i < count; i++) pack7_put(bytes[i] = (uint8_t)rand());
    pack7_end();
    CHECK(line_count == packed_length(count), "%d bytes in %d groups", count, line_count);
    for (int i = 0; i < line_count; i++) CHECK(line[i] < 0x80, "not 7 bit");
    CHECK(unpack7(line, line_count) == count && !memcmp(line, bytes, count), "round %d", round);
  }
  uint8_t filled[] = {0x01, 0x42};
  CHECK(unpack7(filled, 2) == -1, "fill bits that are not zero");
}

int main(void) {
  data_sheet_example();
  every_set_of_devices();
  nobody_there();
  check_values();
  codes();
  power_on_value();
  spoilt();
  flipped_limits();
  packing();
  printf("ok\n");
  return 0;
}

/* The two checks in use: CRC-16/IBM-3740 on our messages and EEPROM records, CRC-8 of the 1-Wire parts. */
#ifndef CRC_H
#define CRC_H

#include <stdint.h>

#define CRC16_START 0xFFFFu

/* Next CRC-16/IBM-3740 (polynomial 0x1021, not reflected). Check value of "123456789": 0x29B1. */
uint16_t crc16_add(uint16_t crc, uint8_t byte);
uint16_t crc16(const uint8_t *bytes, uint8_t count);

/* CRC-8 of 1-Wire parts: x^8 + x^5 + x^4 + 1, reflected, start 0 (DS18B20 data sheet, "CRC generation"). */
uint8_t crc8(const uint8_t *bytes, uint8_t count);

#endif

/* Is a DS18B20 scratchpad believable? */
#ifndef SCRATCHPAD_H
#define SCRATCHPAD_H

#include <stdint.h>

#define READ_GOOD 0x01
#define READ_BAD_CRC 0x02
#define READ_BAD_FIXED 0x04
#define READ_SILENT 0x08
#define READ_POWER_ON 0x10
#define READ_IS_BATH 0x20
#define READ_RECONFIGURED 0x40
#define READ_SHORTED 0x80

/* Judge nine bytes; last_raw is the probe's last good reading or NO_RAW. Gives READ_ bits. */
uint8_t scratchpad_judge(const uint8_t *pad, int16_t last_raw);
/* The temperature code, 1/16 degC. */
int16_t scratchpad_raw(const uint8_t *pad);

#endif

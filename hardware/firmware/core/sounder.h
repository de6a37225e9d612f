/* The sounder: the host's pattern for a while, the board's own for as long as its cause lasts. */
#ifndef SOUNDER_H
#define SOUNDER_H

#include <stdbool.h>
#include <stdint.h>

#define SOUND_NONE 0
#define SOUND_ATTENTION 1
#define SOUND_WARNING 2
#define SOUND_EMERGENCY 3
#define SOUND_MAX_S 600u

void sounder_init(void);
/* The host asks for a pattern; false when pattern or seconds are out of range. */
bool sounder_ask(uint8_t pattern, uint16_t seconds, uint32_t now_ms);
/* A new trip is heard even if the last one was hushed. */
void sounder_unhush(void);
/* own: the pattern the board itself wants now. */
void sounder_poll(uint8_t own, uint32_t now_ms);
/* The pattern sounding now. */
uint8_t sounder_pattern(void);

#endif

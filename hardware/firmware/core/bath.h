/* What the bath probe has said: how old its last good reading is, and whether it is above the hard limit. */
#ifndef BATH_H
#define BATH_H

#include <stdbool.h>
#include <stdint.h>

#define NO_RAW INT16_MIN
#define NO_AGE 0xFFFFu

/* Another probe, or none: start afresh. */
void bath_forget(void);
/* Take a good reading. Gives how many in a row were above max_raw (0, 1, or 2 for two and more). */
uint8_t bath_good(int16_t raw, int16_t max_raw, uint32_t now_ms);
/* Take a failed reading; silent: no answer, rather than a wrong one. */
void bath_bad(bool silent);
/* Ms since the last good reading, NO_AGE = none or longer ago than can be told. */
uint16_t bath_age(uint32_t now_ms);
int16_t bath_raw(void);
/* Above the limit, and not yet 2 degC below it again. */
bool bath_over(void);
/* Of the failed readings since the last good one, most were silent. */
bool bath_mostly_silent(void);

#endif

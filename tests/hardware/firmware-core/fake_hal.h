/* A board that is nothing but memory, for the portable parts of the firmware compiled with the host's gcc. */
#ifndef FAKE_HAL_H
#define FAKE_HAL_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

extern uint32_t fake_now;
extern uint8_t fake_switches;
extern uint8_t fake_eeprom[1024];
extern uint32_t fake_writes[1024];
/* Power fails during the n-th EEPROM write from now (1 = the next); 0 = it does not. */
extern uint32_t fake_cut_in;
extern int fake_powered;
/* This cell keeps this value whatever is written; -1 = none. */
extern int fake_worn;
extern uint8_t fake_keepsake[8];

#define CHECK(what, ...)                                      \
  do {                                                        \
    if (!(what)) {                                            \
      printf("%s:%d: %s: ", __FILE__, __LINE__, #what);       \
      printf(__VA_ARGS__);                                    \
      printf("\n");                                           \
      exit(1);                                                \
    }                                                         \
  } while (0)

#endif

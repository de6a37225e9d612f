/* Where things are on the board. Fixed by the wiring drawing. */
#ifndef PINOUT_H
#define PINOUT_H

#include <avr/io.h>

#define WIRE_BIT PD2
#define LEVEL_BIT PD4
#define REGULATING_BIT PD7 /* D7 */
#define GUARD_BIT PB0      /* D8 */
#define SOUNDER_BIT PB1    /* D9 = OC1A */
#define LED_BIT PB5        /* D13 */

#endif

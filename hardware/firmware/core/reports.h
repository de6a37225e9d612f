/* Reporting of input pins: digital on change, analog at an interval. */
#ifndef REPORTS_H
#define REPORTS_H

#include <stdint.h>

void reports_init(void);
void report_digital(uint8_t port, uint8_t on);
void report_analog(uint8_t channel, uint8_t on);
void report_interval(uint16_t ms);
void reports_poll(uint32_t now_ms);

#endif

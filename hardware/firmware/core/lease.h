/* The lease in force and the two switches it moves. Counted in the timer interrupt. */
#ifndef LEASE_H
#define LEASE_H

#include <stdbool.h>
#include <stdint.h>

#include "config.h"

#define SWITCH_REGULATING 1
#define SWITCH_GUARD 2
#if HAS_GUARD
#define SWITCHES_HEAT (SWITCH_REGULATING | SWITCH_GUARD)
#else
#define SWITCHES_HEAT SWITCH_REGULATING
#endif

typedef struct {
  uint16_t left_ms;
  uint8_t switches; /* of the lease in force; 0 = none */
  uint8_t closed;   /* commanded now */
  uint16_t heat_s;  /* heat without a break */
  bool rested;      /* heat has been off for HEAT_REST_MS */
  bool memory_fault;
} lease_view_t;

void lease_init(void);
/* One millisecond has passed. Called from the timer interrupt and from nowhere else. */
void lease_tick(void);
/* Heat (or stand-by) until duration after the issue of the nonce. Gives the ms left; 0 = already over. */
uint16_t lease_grant(uint32_t issued_ms, uint16_t duration_ms, uint8_t switches);
/* End the lease in the normal order of switches. */
void lease_release(void);
/* Open both at once. */
void lease_open_all(void);
lease_view_t lease_view(void);

#endif

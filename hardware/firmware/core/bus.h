/* The 1-Wire bus as jobs: reset, send, receive, or one pass of a search, a small piece at a time, so that the
   main loop is never held up for more than a millisecond. */
#ifndef BUS_H
#define BUS_H

#include <stdbool.h>
#include <stdint.h>

#include "search.h"

#define BUS_SEND_MAX 26
#define BUS_RECEIVE_MAX 32

typedef struct {
  bool reset;
  uint8_t send_count;
  uint8_t send[BUS_SEND_MAX];
  uint8_t receive_count;
  uint8_t receive[BUS_RECEIVE_MAX];
  search_t *search; /* when set, a pass follows the bytes sent */
  /* Result. */
  uint8_t presence; /* OW_..., of the reset */
  bool failed;      /* no presence, or a search pass without answer */
} bus_job_t;

/* The one job; fill it while idle, then start. */
extern bus_job_t bus;
void bus_clear(void);
void bus_send(uint8_t byte);
/* Match ROM and the eight bytes. */
void bus_send_match(const uint8_t *rom);
void bus_start(void);
bool bus_busy(void);
/* Do the next piece. */
void bus_step(void);

#endif

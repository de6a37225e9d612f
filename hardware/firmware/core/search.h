/* The 1-Wire ROM search: one device a pass, by following the other branch at the last fork left open. */
#ifndef SEARCH_H
#define SEARCH_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
  uint8_t rom[8];
  uint8_t fork; /* bit (1-64) at which this pass takes the 1 branch; 0 = first pass */
  uint8_t open; /* last bit in this pass where a 0 branch was taken and a 1 branch stays */
  uint8_t bit;  /* bit to do next, 1-64 */
} search_t;

/* Begin a sweep of the bus. */
void search_begin(search_t *search);
/* Begin the next pass; the bus has been reset and the search command sent. */
void search_pass(search_t *search);
/* Do one bit with the bus; false when nobody answered: the pass has failed. */
bool search_bit(search_t *search);
/* All 64 bits done? */
bool search_pass_done(const search_t *search);
/* After a good pass: is there more to find? */
bool search_more(const search_t *search);

#endif

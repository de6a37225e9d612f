#include "search.h"

#include "hal.h"

void search_begin(search_t *search) {
  search->fork = 0;
  search->open = 0;
}

void search_pass(search_t *search) {
  search->fork = search->open;
  search->open = 0;
  search->bit = 1;
}

bool search_bit(search_t *search) {
  uint8_t *byte = &search->rom[(search->bit - 1) >> 3];
  uint8_t mask = (uint8_t)(1 << ((search->bit - 1) & 7));
  uint8_t bit = hal_ow_read_bit();
  uint8_t complement = hal_ow_read_bit();
  if (bit && complement) return false;
  uint8_t take = bit;
  if (bit == complement) {
    if (search->bit < search->fork) {
      take = (*byte & mask) ? 1 : 0;
    } else {
      take = search->bit == search->fork;
    }
    if (!take) search->open = search->bit;
  }
  if (take) {
    *byte |= mask;
  } else {
    *byte &= (uint8_t)~mask;
  }
  hal_ow_write_bit(take);
  search->bit++;
  return true;
}

bool search_pass_done(const search_t *search) { return search->bit > 64; }

bool search_more(const search_t *search) { return search->open != 0; }

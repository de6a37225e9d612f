#include "board.h"

#include "bus.h"
#include "conditions.h"
#include "cycle.h"
#include "firmata.h"
#include "hal.h"
#include "latch.h"
#include "lease.h"
#include "limits.h"
#include "link.h"
#include "messages.h"
#include "onewire_requests.h"
#include "parser.h"
#include "sounder.h"
#include "status.h"

void board_init(void) {
  lease_init();
  latch_init();
  conditions_init();
  limits_forget();
  link_init();
  sounder_init();
  messages_init();
  status_init();
  parser_init();
  cycle_init();
  requests_init();
  firmata_init();
}

bool board_busy(void) { return bus_busy(); }

void board_byte(uint8_t byte) { parser_byte(byte); }

/* What comes after a job is begun at once, or each probe would cost a round of the loop. */
void board_bus(void) {
  if (!bus_busy()) return;
  bus_step();
  if (bus_busy()) return;
  uint32_t now_ms = hal_now_ms();
  requests_poll(now_ms);
  cycle_poll(now_ms);
}

void board_poll(void) {
  uint32_t now_ms = hal_now_ms();
  conditions_poll(now_ms);
  link_poll(now_ms);
  latch_poll();
  messages_poll();
  requests_poll(now_ms);
  cycle_poll(now_ms);
  uint8_t own = SOUND_NONE;
  if (link_host_lost()) own = SOUND_ATTENTION;
  if (latch_cause() != CAUSE_NONE) own = SOUND_EMERGENCY;
  sounder_poll(own, now_ms);
  status_poll(now_ms);
  firmata_poll(now_ms);
  hal_led(lease_view().switches != 0);
}

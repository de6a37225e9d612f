#include "link.h"

#include "bath.h"
#include "config.h"
#include "lease.h"
#include "limits.h"

static uint32_t heard_ms;
static bool connected;
static bool heating; /* a lease was honoured, and no release has come since */
static bool lost;

void link_init(void) {
  connected = false;
  heating = false;
  lost = false;
}

void link_heard(uint32_t now_ms) {
  heard_ms = now_ms;
  connected = true;
  lost = false;
}

void link_heating(bool now_heating) { heating = now_heating; }

void link_end(void) {
  lease_release();
  limits_forget();
  bath_forget();
  connected = false;
}

void link_poll(uint32_t now_ms) {
  uint32_t silence = now_ms - heard_ms;
  if (connected && silence >= CONNECTION_SILENCE_MS) link_end();
  if (connected || !heating) return;
  lost = silence >= HOST_LOST_MS;
  if (silence >= HOST_LOST_SOUND_MS) {
    heating = false;
    lost = false;
  }
}

bool link_host_lost(void) { return lost; }

/* Nonces: issued one a status, good for one lease, soon too old. */
#ifndef NONCE_H
#define NONCE_H

#include <stdbool.h>
#include <stdint.h>

typedef enum { NONCE_GOOD, NONCE_UNKNOWN, NONCE_STALE, NONCE_SPENT } nonce_verdict_t;

/* The key is secret and kept for the life of the board; the reset count makes this run's nonces new. */
void nonce_init(uint32_t key, uint32_t boot_count);
/* A new nonce, issued at this moment. */
uint32_t nonce_issue(uint32_t now_ms);
/* True once this run's share of the number space is used up: count one more reset, and init again. */
bool nonce_exhausted(void);
/* Judge a nonce that a message named, and spend it and all issued before it. age and issue only when known. */
nonce_verdict_t nonce_spend(uint32_t nonce, uint32_t now_ms, uint32_t *issued_ms);
/* 16 bits for a session token, never 0, from the same source but another range. */
uint16_t nonce_token(void);

#endif

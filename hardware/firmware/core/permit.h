/* May it heat? May it be cleared? The checks of a lease and of a clear, in the order PROTOCOL.md gives. */
#ifndef PERMIT_H
#define PERMIT_H

#include <stdint.h>

#include "messages.h"

/* Bodies as received, CRC and length checked. */
answer_t permit_lease(const uint8_t *body, uint32_t now_ms);
answer_t permit_clear(const uint8_t *body, uint32_t now_ms);
/* The host ends heat, and says that silence is meant. */
void permit_release(void);

#endif

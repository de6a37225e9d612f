/* The connection to the host: alive, over, or lost in the middle of a cook. */
#ifndef LINK_H
#define LINK_H

#include <stdbool.h>
#include <stdint.h>

void link_init(void);
/* A valid message of ours has arrived. */
void link_heard(uint32_t now_ms);
/* A lease was honoured, or the host said that silence is meant. */
void link_heating(bool heating);
/* End of the connection: the lease ends, limits and session are forgotten. */
void link_end(void);
void link_poll(uint32_t now_ms);
/* The host fell silent while heating; it should be missed aloud. */
bool link_host_lost(void);

#endif

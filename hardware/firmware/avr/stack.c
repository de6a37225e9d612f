#include "stack.h"

#include <stdint.h>

#define MARK 0x5AA5u

extern uint8_t __heap_start;

static volatile uint16_t *mark_place(void) { return (volatile uint16_t *)&__heap_start; }

void stack_mark(void) { *mark_place() = MARK; }

bool stack_overrun(void) { return *mark_place() != MARK; }

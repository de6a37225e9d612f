/* A mark between the variables and the stack: overwritten, the stack has grown too far. */
#ifndef STACK_H
#define STACK_H

#include <stdbool.h>

void stack_mark(void);
bool stack_overrun(void);

#endif

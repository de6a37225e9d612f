import { writeFileSync } from 'node:fs';
import { madeParts, withPart } from './tables.ts';

/* node --import tsx tests/faults/write-tables.ts: puts the tables that are made from the code into their papers. */
for (const part of madeParts()) writeFileSync(part.paper, withPart(part));

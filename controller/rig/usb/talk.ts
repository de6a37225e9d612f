import { z } from 'zod';
import { analogueSchema } from '../../../shared/wire/analogue.ts';
import { boardViewSchema, orderSchema, wantedSchema } from './view.ts';

/*
 * What parent and child say to each other. Stamps are of the machine's monotonic clock, which both processes share
 * (`process.hrtime`), so that a message that lay in a pipe cannot pass for fresh.
 */

/** The machine's monotonic clock, ms. */
export const machineMs = (): number => Number(process.hrtime.bigint()) / 1e6;

/** To the child. `open` makes a new port and a new link, each time. */
export const toChildSchema = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('open'),
    path: z.string().min(1).max(200),
    wanted: wantedSchema.nullable(),
    /** Probes on analogue pins, for a board without our firmware. */
    analogue: analogueSchema,
  }),
  z.object({ kind: z.literal('reset') }),
  z.object({ kind: z.literal('order'), order: orderSchema }),
  z.object({ kind: z.literal('end') }),
]);
export type ToChild = z.infer<typeof toChildSchema>;

/** From the child. */
export const fromChildSchema = z.object({ kind: z.literal('view'), view: boardViewSchema });
export type FromChild = z.infer<typeof fromChildSchema>;

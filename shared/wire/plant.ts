import { z } from 'zod';
import { bagSpecSchema } from './command.ts';

const on = z.boolean();
const probeFaultSchema = z.enum(['none', 'absent', 'stuck', 'noisy', 'offset', 'out-of-water']);

/** What the developer panel may do to a simulated bath. Never offered on a real rig. */
export const plantEventSchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('lid'), on }),
  z.object({ kind: z.literal('pump'), on }),
  z.object({ kind: z.literal('mains'), on }),
  z.object({ kind: z.literal('element'), works: z.boolean() }),
  z.object({ kind: z.literal('weld'), switch: z.enum(['regulating', 'guard']), welded: z.boolean() }),
  z.object({ kind: z.literal('probe'), probe: z.enum(['bath', 'second']), fault: probeFaultSchema }),
  z.object({ kind: z.literal('bag-in'), bag: bagSpecSchema, airMl: z.number().min(0).max(2000) }),
  z.object({ kind: z.literal('bag-out'), bagId: z.string() }),
  z.object({ kind: z.literal('bag-air'), bagId: z.string(), airMl: z.number().min(0).max(2000) }),
  z.object({ kind: z.literal('leak'), mlPerMin: z.number().min(0).max(5000) }),
  z.object({
    kind: z.literal('top-up'),
    litres: z.number().min(0).max(50),
    celsius: z.number().min(0).max(100),
  }),
  z.object({ kind: z.literal('ambient'), celsius: z.number().min(-30).max(50) }),
]);
export type PlantEventMessage = z.infer<typeof plantEventSchema>;

/** The simulated bath's truth, for the developer panel. */
export const plantTruthSchema = z.object({
  waterC: z.number(),
  topC: z.number(),
  bottomC: z.number(),
  elementC: z.number(),
  litres: z.number(),
  elementUncovered: z.boolean(),
  lidOn: z.boolean(),
  pumpOn: z.boolean(),
  mainsOn: z.boolean(),
  ambientC: z.number(),
  bags: z.array(z.object({ bagId: z.string(), coreC: z.number(), afloat: z.boolean() })),
});
export type PlantTruth = z.infer<typeof plantTruthSchema>;

import { z } from 'zod';
import { alarmIdSchema } from './alarm.ts';

/** The widest temperatures a setpoint may take; the rig's own hard maximum is tighter (config). */
export const SETPOINT_MIN_C = 40;
export const SETPOINT_MAX_C = 92;
/** A setpoint keeps this far from the rig's hard maximum, or control alone would trip it. */
export const SETPOINT_MARGIN_C = 2;
/** Eight bags are the design load of one bath. */
export const MAX_BAGS = 8;

const idSchema = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/, 'letters, digits, - and _, at most 64');
const setpointSchema = z.number().min(SETPOINT_MIN_C).max(SETPOINT_MAX_C);

/** Slab 0, cylinder 1, sphere 2, anything between. */
export const betaSchema = z.number().min(0).max(2);

/** What the cook wants of the piece; named once for each dish. */
export const endpointSchema = z.enum(['sliceable', 'fork-tender', 'shreds']);

/** How a bag lies in the water: only one wholly under it is credited with heat. */
export const liesSchema = z.enum(['under', 'partly-out', 'afloat']);
export type Lies = z.infer<typeof liesSchema>;

/** What a fork in the piece says. */
export const forkAnswerSchema = z.enum(['not-yet', 'nearly', 'ready']);

/** Where a bag goes that is taken out. */
export const destinationSchema = z.enum(['serve', 'chill']);
/** How it is chilled. */
export const chillMethodSchema = z.enum(['ice-water', 'cold-water', 'blast-chiller', 'fridge', 'other']);
export type ChillMethod = z.infer<typeof chillMethodSchema>;
/** What becomes of it in the end. */
export const chillOutcomeSchema = z.enum(['fridge', 'frozen', 'served', 'discarded']);
export type ChillOutcome = z.infer<typeof chillOutcomeSchema>;

/** What the cook says of a bag. Thickness is the filled bag at its thickest as it lies; touching pieces count as one. */
export const bagSpecSchema = z.object({
  bagId: idSchema,
  label: z.string().trim().min(1).max(60),
  cutId: z.string().regex(/^[a-z0-9-]{1,60}$/),
  beta: betaSchema,
  thicknessMm: z.number().min(5).max(200),
  massKg: z.number().min(0.02).max(15).nullable(),
  startC: z.number().min(-1).max(40),
  endpoint: endpointSchema.default('fork-tender'),
  /** Where the food is from and how it was cured, for the record: as a person wrote it, where they did. */
  lot: z.string().trim().max(60).optional(),
  supplier: z.string().trim().max(60).optional(),
  cure: z.string().trim().max(300).optional(),
});
export type BagSpec = z.infer<typeof bagSpecSchema>;

/** A bag as a plan has it: what will go in, with its cure; for the record and for the page's bag form. */
export const plannedBagSchema = bagSpecSchema.extend({
  cure: z
    .object({
      method: z.enum(['equilibrium', 'packed']),
      saltPercent: z.number().min(0).max(10),
      wantedS: z.number().min(0),
    })
    .nullable(),
});
export type PlannedBag = z.infer<typeof plannedBagSchema>;

/** The plan that a cook was begun from. */
const cookPlanSchema = z.object({
  planId: idSchema,
  madeAtMs: z.number(),
  serveByMs: z.number(),
  bags: z.array(plannedBagSchema).max(MAX_BAGS),
});

/** What a person may decide of a bag after a power cut. */
export const outageChoiceSchema = z.enum(['go-on', 'chill', 'discard']);
export type OutageChoice = z.infer<typeof outageChoiceSchema>;

const who = { id: idSchema, by: z.string().trim().min(1).max(40) };

export const commandSchema = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('start-cook'),
    ...who,
    cookId: idSchema,
    name: z.string().trim().min(1).max(80),
    setpointC: setpointSchema,
    /** The cook was told what a setpoint below the hot-holding limit means, and said yes. */
    lowSetpointConfirmed: z.boolean().default(false),
    /** The person says that they have looked: the element is under water, the probe in it. Else nothing is explained. */
    atBath: z.boolean().optional(),
    /** What was planned, where it was; only for the record: bags count once somebody says that they are in. */
    plan: cookPlanSchema.optional(),
  }),
  z.object({
    kind: z.literal('set-setpoint'),
    ...who,
    setpointC: setpointSchema,
    lowSetpointConfirmed: z.boolean().default(false),
  }),
  z.object({
    kind: z.literal('bag-in'),
    ...who,
    bag: bagSpecSchema,
    agoS: z.number().min(0).max(3600).default(0),
  }),
  z.object({ kind: z.literal('edit-bag'), ...who, bag: bagSpecSchema }),
  z.object({
    kind: z.literal('bag-out'),
    ...who,
    bagId: idSchema,
    /** To be eaten now (as where nothing is said), or chilled to be kept: then a record of its cooling begins. */
    destination: destinationSchema.optional(),
    chilling: chillMethodSchema.optional(),
  }),
  /** A core read by hand: of a bag in the bath as it is now, of one that is being chilled up to an hour later. */
  z.object({
    kind: z.literal('core-reading'),
    ...who,
    bagId: idSchema,
    celsius: z.number().min(-20).max(110),
    errorC: z.number().min(0.1).max(5).default(1),
    agoS: z.number().min(0).max(3600).default(0),
    /** How the place was found to be the coldest, where it was searched: only then may a reading raise credit. */
    coldSpot: z.string().trim().min(3).max(120).optional(),
  }),
  /** What became of a chilled bag: its cooling record ends. The fridge's temperature is that where it lies. */
  z.object({
    kind: z.literal('end-chill'),
    ...who,
    bagId: idSchema,
    outcome: chillOutcomeSchema,
    fridgeC: z.number().min(-40).max(30).nullable().default(null),
    fridgeRecorded: z.boolean().default(false),
    writtenPlan: z.boolean().default(false),
    rawGarlicOrHerbsInOil: z.boolean().default(false),
  }),
  z.object({ kind: z.literal('bag-lies'), ...who, bagId: idSchema, lies: liesSchema }),
  z.object({ kind: z.literal('fork-test'), ...who, bagId: idSchema, answer: forkAnswerSchema }),
  /** The cold spot of the piece was searched with the probe and found: from now on it may be credited. */
  z.object({
    kind: z.literal('cold-spot'),
    ...who,
    bagId: idSchema,
    how: z.string().trim().min(3).max(120),
  }),
  z.object({ kind: z.literal('answer-load'), ...who, foodIn: z.boolean() }),
  z.object({ kind: z.literal('stop-heat'), ...who }),
  z.object({ kind: z.literal('allow-heat'), ...who }),
  z.object({ kind: z.literal('acknowledge'), ...who, alarmId: alarmIdSchema }),
  z.object({
    kind: z.literal('clear'),
    ...who,
    alarmId: alarmIdSchema,
    /** The person says that they stand at the bath and have looked. Some trips are cleared only so. */
    atBath: z.boolean().default(false),
  }),
  /** Sets an alarm aside for some minutes, or at most so long until its condition has gone once. */
  z.object({
    kind: z.literal('shelve'),
    ...who,
    alarmId: alarmIdSchema,
    minutes: z.number().int().min(1).max(720),
    untilCleared: z.boolean().default(false),
    reason: z.string().trim().min(3).max(120),
    /** The person was told what may follow unheard, and said yes. */
    confirmed: z.boolean().default(false),
  }),
  z.object({ kind: z.literal('unshelve'), ...who, alarmId: alarmIdSchema }),
  /** Takes an alarm out of service until somebody puts it back. */
  z.object({
    kind: z.literal('out-of-service'),
    ...who,
    alarmId: alarmIdSchema,
    reason: z.string().trim().min(3).max(120),
    confirmed: z.boolean().default(false),
  }),
  z.object({ kind: z.literal('in-service'), ...who, alarmId: alarmIdSchema }),
  /** A sign that somebody is with the cook. */
  z.object({ kind: z.literal('here'), ...who }),
  /** Water was poured in; `celsius` null = nobody knows. */
  z.object({
    kind: z.literal('topped-up'),
    ...who,
    litres: z.number().min(0).max(100),
    celsius: z.number().min(0).max(100).nullable().default(null),
  }),
  /** Leave the cook alone, or stay with it. */
  z.object({ kind: z.literal('set-attendance'), ...who, unattended: z.boolean() }),
  /** A person has answered a test of the alarm path. */
  z.object({ kind: z.literal('answer-alarm-test'), ...who }),
  z.object({ kind: z.literal('end-cook'), ...who }),
  /** After a power cut: what becomes of one bag, decided by a person who gives their name. */
  z.object({
    kind: z.literal('decide-outage'),
    ...who,
    bagId: idSchema,
    choice: outageChoiceSchema,
    name: z.string().trim().min(1).max(40),
    note: z.string().trim().max(200).default(''),
  }),
]);
export type Command = z.infer<typeof commandSchema>;
export type CommandKind = Command['kind'];
/** A command as a page sends it: the server adds who said it. */
export type CommandInput = z.input<typeof commandSchema>;

/** Commands in the riskier direction: only a paired phone may give them. Stopping heat is open to all. */
export const GUARDED: ReadonlySet<CommandKind> = new Set<CommandKind>([
  'start-cook',
  'set-setpoint',
  'bag-in',
  'edit-bag',
  'bag-out',
  'core-reading',
  'end-chill',
  'bag-lies',
  'fork-test',
  'cold-spot',
  'answer-load',
  'allow-heat',
  'clear',
  'shelve',
  'out-of-service',
  'here',
  'topped-up',
  'set-attendance',
  'answer-alarm-test',
  'end-cook',
  'decide-outage',
]);

/** What became of a command, decided by the tick that took it in. */
export const commandResultSchema = z.object({
  id: z.string(),
  accepted: z.boolean(),
  /** Code of the error registry when refused. */
  code: z.string().nullable(),
  detail: z.string().nullable(),
});
export type CommandResult = z.infer<typeof commandResultSchema>;

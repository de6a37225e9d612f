import type { Verb } from './io.ts';

/** The verbs, each loaded only when asked for. */
export const VERBS: readonly { readonly name: string; readonly about: string; load(): Promise<Verb> }[] = [
  {
    name: 'run',
    about: 'hold a bath and serve the page',
    load: async () => (await import('./run.ts')).runVerb,
  },
  {
    name: 'rig',
    about: 'the board on the bench: look, set up, check, calibrate',
    load: async () => (await import('./rig.ts')).rigVerb,
  },
  {
    name: 'config',
    about: 'every key of the configuration, and whether a file is sound',
    load: async () => (await import('./config.ts')).configVerb,
  },
  {
    name: 'assess',
    about: 'what food has been through, from a temperature log',
    load: async () => (await import('./assess.ts')).assessVerb,
  },
  {
    name: 'export',
    about: 'a cook from the log as CSV, JSON or a page to print',
    load: async () => (await import('./export.ts')).exportVerb,
  },
  {
    name: 'replay',
    about: 'run a recorded cook through the controller again and compare',
    load: async () => (await import('./replay.ts')).replayVerb,
  },
  {
    name: 'verify',
    about: 'hold a record against its SHA-256 chain, from the log or an export',
    load: async () => (await import('./verify.ts')).verifyVerb,
  },
  {
    name: 'backup',
    about: 'copy the log to a file, checked, also while it is in use',
    load: async () => (await import('./backup.ts')).backupVerb,
  },
  {
    name: 'restore',
    about: 'put a backup in the place of the log; what is there is kept',
    load: async () => (await import('./restore.ts')).restoreVerb,
  },
  {
    name: 'prune',
    about: 'take out of the log what is past its retention',
    load: async () => (await import('./prune.ts')).pruneVerb,
  },
  {
    name: 'plan',
    about: 'a job backwards from the table to the salt; will this rig do it?',
    load: async () => (await import('./plan.ts')).planVerb,
  },
  {
    name: 'cure',
    about: 'what to weigh, how long, how far the salt goes',
    load: async () => (await import('./cure.ts')).cureVerb,
  },
];

import type { Verb } from './io.ts';

/** The verbs, each loaded only when asked for. */
export const VERBS: readonly { readonly name: string; readonly about: string; load(): Promise<Verb> }[] = [
  {
    name: 'run',
    about: 'hold a bath and serve the page',
    load: async () => (await import('./run.ts')).runVerb,
  },
  {
    name: 'assess',
    about: 'what food has been through, from a temperature log',
    load: async () => (await import('./assess.ts')).assessVerb,
  },
  {
    name: 'export',
    about: 'a cook from the log as CSV or JSON',
    load: async () => (await import('./export.ts')).exportVerb,
  },
  {
    name: 'replay',
    about: 'run a recorded cook through the controller again and compare',
    load: async () => (await import('./replay.ts')).replayVerb,
  },
];

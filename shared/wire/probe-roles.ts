/** What a probe is there for. `core` is in the food. */
export const PROBE_ROLES = ['bath', 'second', 'core', 'ambient'] as const;
export type ProbeRole = (typeof PROBE_ROLES)[number];

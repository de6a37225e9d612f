import { randomBytes } from 'node:crypto';
import { forwardClock } from './clock.ts';
import type { EdgeMeans } from './edge/edge.ts';
import { isPublicAddress } from './edge/public-address.ts';
import { readSecret, trusted } from './edge/secrets.ts';
import { dutiesOf, openEdges } from './edges.ts';
import { openDesk, openKept } from './kept.ts';
import type { ReachOptions } from './options.ts';
import type { PushDesk } from './push-desk.ts';
import { Reach } from './reach.ts';
import { rosterOf } from './roster.ts';
import { Saver } from './store.ts';
import { Troubles } from './troubles.ts';
import { type Parts, rulesOf } from './work.ts';

/** An attempt takes no longer, in real time. */
const TIMEOUT_MS = 20_000;

/** Starts what calls people. Never fails for a channel: one that cannot be used is failing, the others work. */
export async function startReach(options: ReachOptions): Promise<Reach> {
  const { config, clock, store, log } = options;
  const roster = rosterOf(config);
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const parts: Parts = {
    roster,
    rules: rulesOf(config, options.kitchen, zone),
    duties: dutiesOf(config, roster),
  };
  const { state, kept } = await openKept(store, parts, clock, log);
  const troubles = new Troubles(() => clock.wallMs());
  const saver = (name: 'plan' | 'push', what: string) =>
    new Saver(
      (text) => store.save(name, text),
      (error) =>
        troubles.set(`store-${name}`, what, error === null ? null : `cannot be written (${codeOf(error)})`),
    );
  const savers = {
    plan: saver('plan', 'the file of the calls'),
    push: saver('push', 'the file of keys and phones'),
  };
  const desk: PushDesk = await openDesk(store, () => savers.push.save(desk.text()), log);
  savers.push.save(desk.text());
  const random = options.randomBytes ?? randomBytes;
  const edges = (options.openEdges ?? openEdges)(
    config,
    roster,
    desk,
    meansOf(options),
    `bathkeeper-${Buffer.from(random(8)).toString('hex')}`,
  );
  const clockMs = forwardClock(clock, kept);
  return new Reach({ options, parts, state, clockMs, edges, desk, savers, troubles, random });
}

function meansOf(options: ReachOptions): EdgeMeans {
  const env = options.env ?? process.env;
  return {
    timeoutMs: options.timeoutMs ?? TIMEOUT_MS,
    ca: () => trusted(options.config.caFile),
    secret: (ref) => readSecret(ref, env),
    mayPushTo: options.mayPushTo ?? isPublicAddress,
    wallMs: () => Date.now(),
  };
}

const codeOf = (error: unknown): string => (error as { code?: string } | null)?.code ?? 'no code';

import { limitProfile } from '../../shared/hazard/profiles.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { CookRow } from '../../shared/wire/record.ts';
import type { Fact } from './facts.ts';
import type { RunConfig } from './reader.ts';
import { readable } from './tail.ts';

/**
 * What the configuration says of kitchen, rules, probes and calibrations: first as it was when the cook began, then what
 * another start of the controller changed, each with the tick from which it held. Without `configs` that of the cook.
 */
export function configFacts(configs: readonly RunConfig[], cook: CookRow): Fact[] {
  const [first = { afterSequence: 0, configJson: cook.configJson }, ...later] = configs;
  const facts = [...factsIn(first.configJson)];
  let before = byClaim(facts);
  for (const { afterSequence, configJson } of later) {
    const now = byClaim(factsIn(configJson));
    const from = `from tick ${afterSequence + 1}`;
    const unread = now.get(UNREAD);
    // One that cannot be read says nothing of what was or was not configured.
    if (unread) {
      facts.push({ ...unread, claim: `${UNREAD}, ${from}` });
      continue;
    }
    for (const [claim, one] of now)
      if (before.get(claim)?.value !== one.value) facts.push({ ...one, claim: `${claim}, ${from}` });
    for (const [claim, one] of before)
      if (!now.has(claim)) facts.push({ ...one, claim: `${claim}, ${from}`, value: 'no longer configured' });
    before = now;
  }
  return facts;
}

/** The claim under which a configuration stands that cannot be read. */
const UNREAD = 'configuration';

const byClaim = (facts: readonly Fact[]) => new Map(facts.map((one) => [one.claim, one]));

function factsIn(configJson: string): Fact[] {
  const checked = checkConfig(readable(() => configJson));
  const stated = (claim: string, value: Fact['value']): Fact => ({ claim, origin: 'stated', value });
  if (!checked.ok) return [stated(UNREAD, configJson)];
  const { rig, profile, kitchen, bath, control, limits } = checked.config;
  return [
    stated('kitchen', kitchen),
    stated('local profile of limits', limitProfile(profile).name),
    stated('water, L', bath.litres),
    stated('element, W', bath.elementWatts),
    stated('switch of the element', control.relay),
    stated('no heat at or above, °C', limits.hardMaxC),
    stated('bath probe, largest error, °C', bath.probeErrorC),
    ...rig.probes.map(({ role, rom }) => stated(`probe, ${role}: ROM`, rom)),
    ...rig.analogue.map(({ role, name, kind }) =>
      stated(`probe, ${role ?? 'no role'}: analogue pin`, `${name} (${kind})`),
    ),
    ...rig.calibrations.map(
      (one): Fact => ({ claim: `calibration of ${one.rom}`, origin: 'measured', value: JSON.stringify(one) }),
    ),
  ];
}

import type { RigAnswer, RigSide } from '../../shared/plan/rig.ts';
import type { BoxTakes } from '../../shared/plan/room.ts';
import type { Plan, Step } from '../../shared/plan/types.ts';
import { clockText, dayText } from '../../shared/plan/zone.ts';
import { durationText } from '../../shared/units/duration.ts';

/** A plan to read in a terminal or on paper. */
export function planText(plan: Plan): string {
  const lines = [plan.words, ''];
  for (const step of plan.steps) lines.push(...stepLines(step, plan));
  for (const addition of plan.additions) lines.push('', `Added to a running bath: ${addition.words}`);
  for (const conflict of plan.conflicts) {
    lines.push('', conflict.why, ...conflict.offers.map((offer) => `  - ${offer}`));
  }
  if (plan.offers.length > 0) lines.push('', 'Or:', ...plan.offers.map((offer) => `  - ${offer.words}`));
  for (const fault of plan.room.tooSmall ? [] : plan.room.faults) lines.push('', `Room in the box: ${fault}`);
  if (plan.steps.length > 0) {
    lines.push('', 'If something is wrong with a bag:');
    for (const { question, options } of plan.decisions) {
      lines.push(`  ${question}`, ...options.map(({ when, action }) => `  - ${when}: ${action}`));
    }
  }
  lines.push('', 'Taken for granted:');
  for (const { field, value, why } of plan.defaults) lines.push(`  ${field}: ${value}. ${why}`);
  const cautions = [...new Set([...plan.cautions, ...plan.steps.flatMap((step) => step.cautions)])];
  lines.push('', 'Mind:', ...cautions.map((caution) => `  - ${caution}`));
  return `${lines.join('\n')}\n`;
}

function stepLines(step: Step, { zone }: Plan): string[] {
  const band = step.bandMs
    ? ` (99 %: ${clockText(step.bandMs[0], zone)} to ${clockText(step.bandMs[1], zone)})`
    : '';
  const mark = step.who === 'person' ? ' ' : '~';
  const odds =
    step.kind === 'ready'
      ? ` (10 in 100 by ${step.amounts.in10Of100}, 90 in 100 by ${step.amounts.in90Of100})`
      : '';
  const lines = [`${dayText(step.atMs, zone)} ${mark} ${step.title}${band}${odds}`];
  if (step.who === 'person') lines.push(`    ${step.how}`, `    Why: ${step.why}`);
  return lines;
}

/** Whether a rig will do it and how many bags it takes, to read. */
export function rigText(answer: RigAnswer, takes: BoxTakes): string {
  const { bathC, holdH, boilingC } = answer;
  return [
    `${bathC} C for ${holdH} h; water boils at ${boilingC.toFixed(1)} C.`,
    ...sideLines('Lid on', answer.lidOn),
    ...sideLines('Lid off', answer.lidOff),
    `Bags of ${takes.bagKg} kg: ${takes.mostBagsCount} at most, with ${takes.pourLitres.toFixed(1)} L of water; the box holds ${takes.brimLitres.toFixed(1)} L to the brim.`,
    answer.kind === 'identified' ? 'By what the controller has learned of this rig.' : 'By its description.',
    'An estimate, not a design: mains and water need an RCD/GFCI, protective earth, and somebody licensed where your code says so.',
    '',
  ].join('\n');
}

function sideLines(name: string, side: RigSide): string[] {
  const time = (s: number | null) => (s === null ? 'never' : durationText(s));
  if (!side.does) {
    return [`${name}: it does not; ${side.highestC.toFixed(1)} C at most, with the heater always on`];
  }
  const lines = [
    `${name}: ${side.does ? 'it does' : 'it does not'}; highest ${side.highestC.toFixed(1)} C`,
    `  heat-up ${time(side.heatUpMiddleS)} (99 %: ${time(side.heatUpLowS)} to ${time(side.heatUpHighS)})`,
    `  holding ${side.holdMeanW.toFixed(0)} W, ${(100 * side.holdDutyRatio).toFixed(0)} % duty; ${side.totalKWh === null ? 'no' : side.totalKWh.toFixed(2)} kWh in all`,
    `  evaporation ${side.evaporationLitresPerH.toFixed(2)} L/h; ${side.topUpEveryH === null ? 'no top-up needed' : `top up ${side.topUpEachLitres.toFixed(1)} L every ${side.topUpEveryH.toFixed(1)} h`}`,
  ];
  if (side.costInMoney !== null) lines.push(`  cost ${side.costInMoney.toFixed(2)} in your money`);
  return lines;
}

import { boneInNote, groundNote } from '../../../shared/food/cuts.ts';
import type { CoreFlag } from '../../../shared/food/measured.ts';
import { recordsOf } from '../../../shared/hazard/track-step.ts';
import { durationText } from '../../../shared/units/duration.ts';
import type { Asked } from './flags.ts';
import type { BathLog } from './log.ts';
import type { Setup } from './setup.ts';
import type { Walk } from './state.ts';

/** Water this cold after food was this warm looks like chilling, C. */
const COLD_C = 20;
const WARMED_C = 40;

const FLAG_WORDS: Readonly<Record<CoreFlag, string>> = {
  'hotter-than-meat-can-be': 'read hotter than the core can be; the probe was probably not in the meat there',
  'colder-than-meat-can-be': 'read colder than food or water ever were; the probe is probably wrong',
  'below-worst-case': 'read colder than the slowest case of the model; the lower reading was credited',
};

/** What a reader must know beside the numbers. */
export function cautionsFor(asked: Asked, setup: Setup, log: BathLog, walk: Walk): string[] {
  return [
    ...coreCautions(asked, log, walk),
    ...gapCautions(log),
    ...chillCautions(log, walk),
    ...inputCautions(asked),
    ...doubts(setup, walk),
    `The food is taken to have gone in at the first row at ${asked.startC.toFixed(1)} C, wholly under water of one temperature all around. Pieces that touch count as one thickness; a bag that floated earns nothing.`,
    'No cook in a water bath kills the spores of C. botulinum or C. perfringens: serve at once, keep hot, or chill fast. Nothing here says how long food may be kept.',
    'This is a calculation from a log, no measurement of this food. It helps the person in charge, who decides under the local code; where in doubt, food is thrown away, not tasted.',
  ];
}

function coreCautions(asked: Asked, log: BathLog, walk: Walk): string[] {
  const flagged = Object.entries(walk.coreFlags).map(
    ([flag, { count, firstS }]) =>
      `The measured core ${FLAG_WORDS[flag as CoreFlag]} (${count} steps, first at ${durationText(firstS)}).`,
  );
  const lowered =
    log.coreC && asked.coldSpot === undefined
      ? [
          'The measured core can only lower the credit: nobody recorded that it lay in the cold spot (--cold-spot HOW).',
        ]
      : [];
  const takenBack =
    walk.takenBackAtS === null
      ? []
      : [
          `The measured core showed the food slower than the model allows: what was credited before ${durationText(walk.takenBackAtS)} was taken back, for the doubt holds for the time before as well.`,
        ];
  return [...flagged, ...takenBack, ...lowered];
}

function gapCautions({ gaps }: BathLog): string[] {
  if (gaps.length === 0) return [];
  const total = gaps.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  return [
    `${durationText(total)} of the log are missing in ${gaps.length === 1 ? 'one gap' : `${gaps.length} gaps`}. Water that went colder than both ends of a gap and came back is not seen, nor whether cooked food stayed hot in it. Somebody who was there must say.`,
  ];
}

/** Food in cold water that was never cooked by its standard is not chilling by any rule. */
function chillCautions(log: BathLog, walk: Walk): string[] {
  const { limits, maxC } = walk.middle;
  if (limits.cooling !== null || log.bathC.at(-1)! >= COLD_C || maxC < WARMED_C) return [];
  return [
    'The bath ends cold, yet no standard was met before: the time in cold water counts as cooking, and no cooling is judged.',
  ];
}

function inputCautions({ cut, film, circulation, shape, diffusivity, conductivity }: Asked): string[] {
  const cautions: string[] = [];
  if (film === undefined && circulation === undefined) {
    cautions.push(
      'Nobody said what moved the water: the film coefficient is taken as the least of the range for pumped water, 200 W/(m2 K) at 50 C, following the temperature of the bath; the worst case allows for still water. Give --circulation pumped or still, or --film N.',
    );
  }
  if (!cut && (diffusivity === undefined || conductivity === undefined)) {
    cautions.push('No cut was named: the properties of usual meat are taken (1.3e-7 m2/s, 0.48 W/(m K)).');
  }
  if (shape.kind === 'brick' || shape.kind === 'finite-cylinder') {
    cautions.push(
      'The middle case has the shape with its ends, and the film of the water that most of the log was in; the worst cases are carried as the round shape that is half way at the same time, late by up to a quarter.',
    );
  }
  if (cut?.boneIn) cautions.push(boneInNote);
  if (cut?.ground) cautions.push(groundNote);
  if (cut && cut.notes !== '') cautions.push(cut.notes);
  return cautions;
}

/** Published doubts about a standard, where its credit was earned in their range. */
function doubts({ standards }: Setup, walk: Walk): string[] {
  const { slower } = recordsOf(walk.track.setup);
  const told = standards.flatMap(({ doubt }, i) => {
    const credited = walk.middle.lethality[i]!.log10 > 0 && slower[i] !== undefined;
    return doubt && credited && walk.middle.maxC < doubt.belowC ? [`${doubt.words} (${doubt.source})`] : [];
  });
  return [...new Set(told)];
}

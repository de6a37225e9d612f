import { betaOf } from '../../../shared/food/shape.ts';
import { chooseStandard } from '../../../shared/hazard/standards/choose.ts';
import { type Standard, standards } from '../../../shared/hazard/standards/index.ts';
import { startTrack, type Track } from '../../../shared/hazard/track.ts';
import { MIDDLE } from '../../../shared/hazard/track-cores.ts';
import { type CoreModel, coreModel } from './core.ts';
import { type FilmAsked, filmAt } from './film.ts';
import type { Asked } from './flags.ts';
import { firstSubstepS } from './substeps.ts';

/** What a log is carried through: the middle case as the flags give it, and the envelope around it. */
export interface Setup {
  readonly model: CoreModel;
  readonly film: FilmAsked;
  /** The water that most of the log was in, C: a brick's own middle case has the film of that water throughout. */
  readonly usualWaterC: number;
  readonly beta: number;
  readonly startC: number;
  readonly diffusivity: number;
  readonly conductivity: number;
  /** Fresh; it holds the setup of the worst cases. */
  readonly track: Track;
  readonly standards: readonly Standard[];
  /** Which standards, once one of them is met, make food count as cooked when it then goes into cold water. */
  readonly cookedBy: readonly number[];
  readonly firstSubstepS: number;
  readonly coldSpot: string | undefined;
  /** How the standards were chosen, in words. */
  readonly why: string;
}

/** Builds the middle case and the envelope from the flags and the water that most of the log was in, C. */
export function setupOf(asked: Asked, usualWaterC: number): Setup {
  const { cut, thicknessMm, startC } = asked;
  const film = filmAt(asked, usualWaterC);
  const beta = betaOf(asked.shape);
  const chosen = standardsFor(asked);
  const track = startTrack({
    cut,
    diffusivity: asked.diffusivity,
    conductivity: asked.conductivity,
    thicknessMm,
    beta,
    startC,
    film,
    standardIds: chosen.standards.map(({ id }) => id),
    profileId: asked.profileId,
    species: cut?.species ?? 'unknown',
    roast: cut !== null && cut.family === 'red-meat' && !cut.ground,
  });
  const { body } = track.setup.members[MIDDLE];
  return {
    model: coreModel(asked.shape, body, film.middle, startC),
    film: { film: asked.film, circulation: asked.circulation },
    usualWaterC,
    beta,
    startC,
    diffusivity: body.diffusivity,
    conductivity: body.conductivity,
    track,
    ...chosen,
    firstSubstepS: firstSubstepS({ ...body, film: film.middle }),
    coldSpot: asked.coldSpot,
  };
}

/** The water that most rows of a log were in: their median, C. */
export function usualWater(bathC: readonly number[]): number {
  const sorted = Float64Array.from(bathC).sort();
  return sorted[Math.floor(sorted.length / 2)] ?? 60;
}

/** The choice for a cut; for food of an unknown kind every general standard, the longest times first. */
function standardsFor(asked: Asked): Pick<Setup, 'standards' | 'cookedBy' | 'why'> {
  if (asked.cut) {
    const { primary, others, why } = chooseStandard(asked.cut);
    return { standards: [primary, ...others], cookedBy: [0], why };
  }
  const { primary } = chooseStandard({ family: 'unknown', species: 'unknown', fatPercent: null });
  const all = [primary, ...standards.filter((s) => s !== primary && isGeneral(s))];
  const cookedBy = all.flatMap((s, i) => (s.organism === 'Salmonella' ? [i] : []));
  const why = `No cut was named (--cut): every general standard is shown, those by fat at 12 %. The verdict goes by the strictest, ${primary.name}.`;
  return { standards: all, cookedBy, why };
}

/** Of the tables by fat, the column for unknown fat. */
const isGeneral = ({ id }: Standard) => !/-fat\d+$/.test(id) || /-fat12$/.test(id);

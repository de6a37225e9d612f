import type { Film } from '../../../shared/food/film.ts';
import { waterSide } from '../../../shared/food/film.ts';
import { betaOf } from '../../../shared/food/shape.ts';
import { filmAround } from '../../../shared/hazard/envelope.ts';
import { chooseStandard } from '../../../shared/hazard/standards/choose.ts';
import { type Standard, standards } from '../../../shared/hazard/standards/index.ts';
import { startTrack, type Track } from '../../../shared/hazard/track.ts';
import { MIDDLE } from '../../../shared/hazard/track-cores.ts';
import { type CoreModel, coreModel } from './core.ts';
import type { Asked } from './flags.ts';
import { firstSubstepS } from './substeps.ts';

/** What a log is carried through: the middle case as the flags give it, and the envelope around it. */
export interface Setup {
  readonly model: CoreModel;
  readonly film: Film;
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

/** Film where nobody gave one, W/(m2 K): the least of the pumped range; most baths that are looked after are above. */
export const USUAL_FILM = waterSide.pumped.low;

/** Builds the middle case and the envelope from the flags. */
export function setupOf(asked: Asked): Setup {
  const { cut, thicknessMm, startC } = asked;
  const beta = betaOf(asked.shape);
  const chosen = standardsFor(asked);
  const track = startTrack({
    cut,
    diffusivity: asked.diffusivity,
    conductivity: asked.conductivity,
    thicknessMm,
    beta,
    startC,
    standardIds: chosen.standards.map(({ id }) => id),
    profileId: asked.profileId,
    species: cut?.species ?? 'unknown',
    roast: cut !== null && cut.family === 'red-meat' && !cut.ground,
  });
  const { body } = track.setup.members[MIDDLE];
  const film = filmOf(asked.film);
  return {
    model: coreModel(asked.shape, body, film.middle, startC),
    film,
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

/** How far beyond its bounds the film goes where none was given: the cases lean as in a pumped bath, whose bounds are closer. */
const FURTHER = 1.4;

/** A film given keeps the spread of a pumped bath; where none was, still water is possible too. */
function filmOf(given: number | undefined): Film {
  if (given !== undefined) return filmAround(given);
  const { still, pumped } = waterSide;
  return { low: still.low / FURTHER, middle: USUAL_FILM, high: pumped.high * FURTHER, noCredit: false };
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

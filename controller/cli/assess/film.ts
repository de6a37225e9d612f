import { type Circulation, type Film, filmFor } from '../../../shared/food/film.ts';
import { filmAround } from '../../../shared/hazard/envelope.ts';

/** What was said of the water's way past the food. */
export interface FilmAsked {
  /** One coefficient for the whole log, W/(m2 K). */
  readonly film: number | undefined;
  readonly circulation: Circulation | undefined;
}

/**
 * The film between water and food in water of `waterC`, W/(m2 K). A number given holds throughout, with the spread of
 * a pumped bath. Else it follows the water's temperature and what moves it; where nobody said what does, the middle is
 * the least of the range for pumped water, and both still and well pumped water lie inside the bounds.
 */
export function filmAt({ film, circulation }: FilmAsked, waterC: number): Film {
  if (film !== undefined) return filmAround(film);
  if (circulation) return filmFor({ circulation, waterC });
  const pumped = filmFor({ circulation: 'pumped', waterC });
  const still = filmFor({ circulation: 'still', waterC });
  return { low: Math.min(still.low, pumped.low), middle: pumped.low, high: pumped.high, noCredit: false };
}

/** Where the film comes from, in words. */
export function filmFrom({ film, circulation }: FilmAsked): string {
  if (film !== undefined) return 'given';
  const which = circulation ? `${circulation} water` : 'the least of the range for pumped water';
  return `${which}, following the temperature of the bath`;
}

/** What else can be done when the odds cannot be met, the food is not safe, or somebody would have to get up. */
import { MATERIALS } from '../bag/materials.ts';
import { earliestInMs, type Schedule } from './batches.ts';
import type { Course } from './frame.ts';
import { type Kitchen, kitchenFor } from './kitchen.ts';
import { surelyHeldC } from './rig.ts';
import { capOf, type Sharing } from './temperature.ts';
import type { Dish, Job, Offer, PlanStatus } from './types.ts';
import { tailOf, tailS } from './usual.ts';
import { clockText, dayText, inNight } from './zone.ts';

const DAY_MS = 86_400_000;
/** Worth naming only when it gains this much. */
const WORTH = 0.04;

const bagsOf = (dishes: readonly Dish[]) => dishes.reduce((sum, dish) => sum + dish.piecesCount, 0);
const percent = (p: number) => `${Math.round(100 * p)} in 100`;

/** The chance that all dishes are ready when they go in as early as can be and come out in time. */
function soonestOdds(kitchen: Kitchen, dishes: readonly Dish[], bathC: number, serveByMs: number): number {
  const inMs = earliestInMs(kitchen, bagsOf(dishes), bathC);
  return dishes.reduce((product, dish) => {
    const { food, odds } = kitchen.alone(dish, bathC);
    const outMs = serveByMs - 1000 * tailS(tailOf(food.cut, dish.endpoint));
    return product * (outMs <= inMs ? 0 : odds.probabilityAt((outMs - inMs) / 1000));
  }, 1);
}

/** Offers for a plan that falls short in time. */
export function shortOffers(kitchen: Kitchen, sharing: Sharing, bathC: number, oddsNow: number): Offer[] {
  const { dishes } = sharing;
  const { job } = kitchen;
  const better = (offer: Offer | null) => offer !== null && (offer.oddsFraction ?? 1) > oddsNow + WORTH;
  const found = [
    hotter(kitchen, dishes, bathC),
    otherFilm(kitchen, dishes, bathC),
    thinner(kitchen, dishes, bathC),
    later(kitchen, dishes, bathC),
    nextDay(kitchen, dishes, bathC, 'bath'),
    nextDay(kitchen, dishes, bathC, 'fridge'),
    warmFill(job, dishes, bathC),
  ].filter((offer): offer is Offer => better(offer));
  // What meets the odds first; one that is decided by the fork, not by odds, with those.
  const odds = ({ oddsFraction }: Offer) => Math.min(oddsFraction ?? 1, job.oddsFraction);
  return found.sort((a, b) => odds(b) - odds(a));
}

function hottest(kitchen: Kitchen, dishes: readonly Dish[], capC: number): number {
  const range = Math.min(...dishes.map((dish) => dish.bath.highC));
  return Math.floor(Math.min(capC, range, surelyHeldC(kitchen.job.rig, kitchen.balance) - 1));
}

function hotter(kitchen: Kitchen, dishes: readonly Dish[], bathC: number): Offer | null {
  return atHotter(kitchen, dishes, bathC, hottest(kitchen, dishes, capOf(kitchen).maxC), 'hotter', '', {});
}

function atHotter(
  kitchen: Kitchen,
  dishes: readonly Dish[],
  bathC: number,
  mostC: number,
  id: string,
  extra: string,
  change: Offer['change'],
): Offer | null {
  const { job } = kitchen;
  let last: Offer | null = null;
  for (let c = Math.floor(bathC) + 2; c <= mostC; c = c < mostC - 2 ? c + 3 : c + 1) {
    const odds = soonestOdds(kitchen, dishes, c, job.serveByMs);
    last = {
      id,
      words: `Bath at ${c} C${extra}: ${percent(odds)} ready in time, a little drier.`,
      change: { bathC: c, ...change },
      oddsFraction: odds,
    };
    if (odds >= job.oddsFraction) return last;
  }
  return last;
}

function otherFilm(kitchen: Kitchen, dishes: readonly Dish[], bathC: number): Offer | null {
  const { rig } = kitchen.job;
  const film = MATERIALS.find((material) => material.id === 'pp-pouch')!;
  const capC = capOf(kitchen).maxC;
  const other = capOf(kitchenFor({ ...kitchen.job, bathC: null, rig: { ...rig, filmId: film.id } })).maxC;
  if (other <= capC) return null;
  const extra = ` in a ${film.name}`;
  return atHotter(
    kitchen,
    dishes,
    Math.max(bathC, capC - 2),
    hottest(kitchen, dishes, other),
    'other-film',
    extra,
    {
      filmId: film.id,
    },
  );
}

function thinner(kitchen: Kitchen, dishes: readonly Dish[], bathC: number): Offer | null {
  const thickest = dishes.reduce((a, b) => (b.thicknessMm > a.thicknessMm ? b : a));
  const thicknessMm = Math.round(Math.max(20, 0.6 * thickest.thicknessMm));
  if (thicknessMm > 0.8 * thickest.thicknessMm) return null;
  const cut = dishes.map((dish) => (dish === thickest ? { ...dish, thicknessMm } : dish));
  const odds = soonestOdds(kitchen, cut, bathC, kitchen.job.serveByMs);
  return {
    id: 'thinner',
    words: `${thickest.name} in pieces ${thicknessMm} mm thick: it is hot and safe sooner, ${percent(odds)} ready in time.`,
    change: { thicknessMm },
    oddsFraction: odds,
  };
}

function later(kitchen: Kitchen, dishes: readonly Dish[], bathC: number): Offer | null {
  const { job } = kitchen;
  const quarter = 15 * 60_000;
  const inMs = earliestInMs(kitchen, bagsOf(dishes), bathC);
  if (!Number.isFinite(inMs)) return null;
  const doneMs = dishes.map((dish) => {
    const { food, needS } = kitchen.alone(dish, bathC);
    return needS === null ? null : inMs + 1000 * (needS + 600 + tailS(tailOf(food.cut, dish.endpoint)));
  });
  if (doneMs.includes(null)) return null;
  const serveByMs = Math.ceil(Math.max(...doneMs.map((ms) => ms ?? 0)) / quarter) * quarter;
  if (inNight(serveByMs, job.night, job.zone)) return null;
  return {
    id: 'later',
    words: `Serve at ${dayText(serveByMs, job.zone)} instead, begun now: the odds you asked for.`,
    change: { serveByMs },
    oddsFraction: job.oddsFraction,
  };
}

function nextDay(
  kitchen: Kitchen,
  dishes: readonly Dish[],
  bathC: number,
  serveFrom: 'bath' | 'fridge',
): Offer | null {
  const { job } = kitchen;
  let serveByMs = job.serveByMs;
  for (let day = 1; day <= 3; day++) {
    // The same clock tomorrow is close enough at 24 h; a change of the clocks is mended when it is planned anew.
    serveByMs = job.serveByMs + day * DAY_MS;
    if (soonestOdds(kitchen, dishes, bathC, serveByMs) < job.oddsFraction) continue;
    if (serveFrom === 'bath') {
      const words = `The same at ${dayText(serveByMs, job.zone)}: the odds you asked for, and time to cure.`;
      return { id: 'next-day', words, change: { serveByMs }, oddsFraction: job.oddsFraction };
    }
    const words = `Cooked the day before, chilled in ice and made hot again for ${dayText(serveByMs, job.zone)}: it comes out when the fork says so, not when the clock does.`;
    return { id: 'day-before', words, change: { serveByMs, serveFrom }, oddsFraction: null };
  }
  return null;
}

function warmFill(job: Job, dishes: readonly Dish[], bathC: number): Offer | null {
  const fillC = 45;
  if (job.rig.fillC >= fillC - 10) return null;
  const odds = soonestOdds(kitchenFor({ ...job, rig: { ...job.rig, fillC } }), dishes, bathC, job.serveByMs);
  return {
    id: 'warm-fill',
    words: `Fill the bath with hot tap water (${fillC} C): it is ready sooner, ${percent(odds)} in time.`,
    change: { fillC },
    oddsFraction: odds,
  };
}

/** Offers for a plan that was moved out of the night, or has to fall in it. */
export function nightOffers(kitchen: Kitchen, schedule: Schedule, sharing: Sharing): Offer[] {
  const { job } = kitchen;
  const offers: Offer[] = [];
  const { movedFromMs } = schedule;
  if (movedFromMs !== null) {
    offers.push({
      id: 'in-the-night',
      words: `Food in at ${clockText(movedFromMs, job.zone)} instead: fresher, softened no more than needed, but somebody has to get up.`,
      change: { night: null },
      oddsFraction: job.oddsFraction,
    });
  }
  const enoughMs = job.serveByMs - job.nowMs;
  const longest = Math.max(...sharing.dishes.map((dish) => kitchen.alone(dish, sharing.wantedC).needS ?? 0));
  if (movedFromMs !== null && job.serveFrom === 'bath' && enoughMs > 1000 * longest + DAY_MS) {
    offers.push({
      id: 'day-before',
      words:
        'Cook it the day before, chill it in ice and make it hot again: it comes out when the fork says so, by day.',
      change: { serveFrom: 'fridge' },
      oddsFraction: null,
    });
  }
  return offers;
}

/** Offers when pieces are too thick to be chilled by the rule. */
export function chillOffers(slow: readonly Course[]): Offer[] {
  const offers: Offer[] = [];
  const worst = slow.reduce((a, b) => (b.dish.thicknessMm > a.dish.thicknessMm ? b : a));
  const thicknessMm = Math.min(...slow.map(({ cold }) => cold!.chill.mostThicknessMm));
  if (thicknessMm >= 15 && thicknessMm < worst.dish.thicknessMm) {
    offers.push({
      id: 'thinner-safe',
      words: `${worst.dish.name} in pieces ${thicknessMm} mm thick: chilled in time.`,
      change: { thicknessMm },
      oddsFraction: null,
    });
  }
  offers.push({
    id: 'from-bath',
    words: 'Serve it from the bath instead: nothing has to be chilled.',
    change: { serveFrom: 'bath' },
    oddsFraction: null,
  });
  return offers;
}

/** Offers when the rig cannot bring or hold the temperature. */
export function rigOffers(kitchen: Kitchen, sharing: Sharing): Offer[] {
  const { job, balance } = kitchen;
  const offers: Offer[] = [];
  const held = Math.floor(surelyHeldC(job.rig, balance) - 1);
  const open = job.dishes.map((dish) => dish.bath.lowC);
  if (held >= Math.max(...open) && held < sharing.wantedC) {
    offers.push({
      id: 'cooler',
      words: `${held} C is what this rig surely holds: gentler, longer.`,
      change: { bathC: held },
      oddsFraction: null,
    });
  }
  if (!job.rig.lidOn) {
    offers.push({
      id: 'lid',
      words: 'Put the lid on: it saves most of what the bath loses.',
      change: { lidOn: true },
      oddsFraction: null,
    });
  }
  return offers;
}

/** Offers when the food would not be safe. */
export function safetyOffers(kitchen: Kitchen, sharing: Sharing, bathC: number, status: PlanStatus): Offer[] {
  if (status !== 'not-safe') return [];
  const offers: Offer[] = [];
  const thickest = sharing.dishes.reduce((a, b) => (b.thicknessMm > a.thicknessMm ? b : a));
  const thicknessMm = Math.round(0.6 * thickest.thicknessMm);
  const capC = hottest(kitchen, sharing.dishes, capOf(kitchen).maxC);
  if (thicknessMm >= 15) {
    offers.push({
      id: 'thinner-safe',
      words: `${thickest.name} in pieces ${thicknessMm} mm thick: through the danger zone much sooner.`,
      change: { thicknessMm },
      oddsFraction: null,
    });
  }
  if (capC > bathC + 1) {
    offers.push({
      id: 'hotter-safe',
      words: `Bath at ${capC} C: safe sooner.`,
      change: { bathC: capC },
      oddsFraction: null,
    });
  }
  return offers;
}

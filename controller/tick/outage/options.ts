import type { OutageOption } from '../../../shared/wire/outage.ts';

/** What the options of a bag depend on. */
export interface Standing {
  readonly label: string;
  /** A limit of the rules in force is broken, in the power cut or before. */
  readonly broken: boolean;
  /** Its lethality standard was met before the power went. */
  readonly met: boolean;
  /** Coldest and hottest that its core may be now, degC. */
  readonly coldC: number;
  readonly hotC: number;
  /** Hot food must be kept above this, cold food below that, degC. */
  readonly hotLimitC: number;
}

/** What may be done with a bag after a power cut, with what comes of it. One is what the rules ask for; a person decides. */
export function optionsFor(bag: Standing): OutageOption[] {
  const advised = bag.broken ? 'discard' : 'go-on';
  const option = (choice: OutageOption['choice'], consequence: string): OutageOption => ({
    choice,
    consequence,
    advised: choice === advised,
  });
  return [option('go-on', goOn(bag)), option('chill', chill(bag)), option('discard', discard(bag))];
}

function goOn({ broken, met, coldC, hotLimitC }: Standing): string {
  if (broken)
    return 'Cooking on kills what grew, not what it left behind: toxins and spores stay. By the rules this piece is not to be served, however long it cooks.';
  if (met && coldC >= hotLimitC) return 'It stayed hot enough throughout. The cook goes on as before.';
  if (met)
    return 'It was cooked before and has been below the hot-holding limit. The heat brings it back; the time below counts, and goes on counting until it is hot again.';
  return 'The heat brings it back. It is ready later by about the time that was lost, and what was not measured is credited only where the coldest case earned it.';
}

function chill({ broken, met, hotC }: Standing): string {
  if (broken)
    return 'Chilling stops further growth. It does not take back what grew, and the piece stays outside the rules.';
  if (!met)
    return 'It is not cooked yet: chilled now it is warm raw meat, with what has grown so far. Eat none of it before it is cooked through, and do not keep it for long.';
  if (hotC < 60)
    return 'Take it out and cool it fast: ice water, under 21 °C within 2 h and under 5 °C within 6 h in all. That clock began when it fell below 57 °C.';
  return 'Take it out and cool it fast: ice water, under 21 °C within 2 h and under 5 °C within 6 h in all.';
}

function discard({ broken }: Standing): string {
  return broken
    ? 'The piece is lost, and nobody is made ill by it. This is what the rules ask for.'
    : 'The piece is lost. The rules do not ask for it as far as is known; do it if anything looks, smells or feels wrong.';
}

/** What no later heat can mend; null where no limit is broken. */
export function unmendable(broken: boolean): string | null {
  if (!broken) return null;
  return 'Heat kills bacteria. It does not destroy the toxins that some leave (Staphylococcus aureus, Bacillus cereus), nor all of their spores. So a limit once broken stays broken.';
}

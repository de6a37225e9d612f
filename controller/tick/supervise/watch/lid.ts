import type { BalanceNow } from './balance.ts';
import type { Stories } from './stories.ts';

/** A stretch of steady extra loss, as an open lid makes. Plain data. */
export interface LidSpell {
  readonly beats: number;
  /** Sum over the stretch of extra loss per W/m2 that open water loses. */
  readonly sum: number;
}

export const NO_SPELL: LidSpell = { beats: 0, sum: 0 };

/** So many beats of steady loss teach something. */
const LEAST_BEATS = 18;
const MOST_BEATS = 60;
/** What one such stretch is worth: wind, humidity and a lid half on scatter it, as a share. */
const SPELL_SD = 0.25;
/** Further from what was expected than so many standard deviations it was something else. */
const GATE = 2.5;

export interface Lid {
  readonly mean: number;
  readonly sd: number;
}

/**
 * Learns what lifting the lid adds to the loss from stretches of steady extra loss that ended by themselves: a lid that
 * came back. A fault does not end by itself, and what is far from physics is not learned.
 */
export function learnLid(
  spell: LidSpell,
  now: BalanceNow,
  stories: Stories | null,
  lid: Lid,
): { spell: LidSpell; lid: Lid } {
  const open = now.shape.steamWM2 + now.shape.openWM2;
  const extra = -now.short.rate;
  const steady = stories !== null && stories.moreLoss > 30 && stories.moreLoss >= stories.noHeat && open > 50;
  if (steady && extra > 4 * now.short.error) {
    if (spell.beats >= MOST_BEATS) return { spell, lid };
    return { spell: { beats: spell.beats + 1, sum: spell.sum + extra / open }, lid };
  }
  if (spell.beats === 0) return { spell, lid };
  if (extra > 2 * now.short.error + 0.15 * lid.mean * open) return { spell, lid };
  if (spell.beats < LEAST_BEATS) return { spell: NO_SPELL, lid };
  const seen = spell.sum / spell.beats;
  const noise = SPELL_SD * seen;
  const total = lid.sd * lid.sd + noise * noise;
  if ((seen - lid.mean) ** 2 > GATE * GATE * total) return { spell: NO_SPELL, lid };
  const gain = (lid.sd * lid.sd) / total;
  return {
    spell: NO_SPELL,
    lid: { mean: lid.mean + gain * (seen - lid.mean), sd: lid.sd * Math.sqrt(1 - gain) },
  };
}

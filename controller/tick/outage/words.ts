import { durationText } from '../../../shared/units/duration.ts';
import type { OutageLength, OutageState } from './state.ts';

const about = (seconds: number) => durationText(Math.round(seconds / 60) * 60 || Math.round(seconds));

/** How long it was and how that is known, in sentences. */
export function lengthWords({ verdict, countsS, lowS, highS, clockS, cooling }: OutageLength): string {
  const span = `between ${about(lowS)} and ${about(highS)}`;
  const byCooling = cooling ? about(cooling.middleS) : '';
  const byClock = clockS === null ? '' : about(clockS);
  const wide = cooling?.identified === false ? ' This rig was not identified yet, so the span is wide.' : '';
  switch (verdict) {
    case 'agree':
      return `It lasted ${byClock} by the clock, and the cooling of the water agrees (about ${byCooling}). By the cooling alone it was ${span}; the short end is for a lid that was off.${wide}`;
    case 'clock-longer':
      return `The clock says ${byClock}, the cooling of the water only about ${byCooling}. They disagree: the longer counts.`;
    case 'cooling-longer':
      return `The clock says ${byClock}, yet by its cooling the water stood for about ${byCooling}. They disagree: the longer counts. Check the clock; with the lid off it may have been as short as the clock says.`;
    case 'clock-only':
      return `It lasted ${byClock} by the clock. The water cannot tell: it was not much warmer than the room, was not measured, or the record has a hole.`;
    case 'cooling-only':
      return `The clock cannot tell how long. By the cooling of the water it lasted about ${about(countsS)}, ${span}; the short end is for a lid that was off.${wide}`;
    case 'unknown':
      return `Neither the clock nor the water can tell how long it lasted: it counts as ${about(countsS)}.`;
  }
}

/** Why the growth told may be far more than there was; empty where the length is known and the record whole. */
export function doubtWords({ length, log }: Pick<OutageState, 'length' | 'log'>): string {
  const verdict = length?.verdict;
  if (verdict === undefined || (log === null && (verdict === 'agree' || verdict === 'clock-only'))) return '';
  const why =
    log !== null
      ? 'the record of the water has a hole'
      : verdict === 'clock-longer' || verdict === 'cooling-longer'
        ? 'the clock and the water disagree'
        : 'no clock could tell how long it was';
  return ` It may be far less: ${why}, so the longest it can have lasted is held against it, with the lid off for any part of it.`;
}

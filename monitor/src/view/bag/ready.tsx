import type { TenderView } from '../../../../shared/wire/status.ts';
import { bathSteady, controllerMs } from '../../state/bath.ts';
import { ENDPOINT_WORDS, forecastWords, lowerFirst } from '../../words/forecast.ts';

/** When the piece will be ready: the span, the middle, the odds now, how rough it is and what it rests on. */
export function Ready({ tender, brief }: { tender: TenderView | null; brief: boolean }) {
  if (tender === null) {
    return brief ? null : (
      <p class="help" data-test="no-forecast">
        No forecast: for this cut tenderness is not a matter of time.
      </p>
    );
  }
  const words = forecastWords(tender, controllerMs.value ?? 0);
  const wanted = ENDPOINT_WORDS[tender.endpoint].text;
  if (brief) {
    return (
      <p data-test="ready" data-odds={tender.readyNow}>
        {wanted}: <b>{lowerFirst(words.span)}</b>
      </p>
    );
  }
  return (
    <div class="ready" data-test="ready" data-odds={tender.readyNow}>
      <h3>{wanted}: when?</h3>
      <p class="ready-span">{words.span}</p>
      {bathSteady.value ? null : <p class="warn">Only if the bath comes back to its setpoint.</p>}
      <p>{words.middle}</p>
      <p data-test="odds">{words.odds}.</p>
      <p class="help" data-test="forecast-why">
        {words.width} Modelled. {tender.why} It supposes that the bath keeps its setpoint.
      </p>
    </div>
  );
}

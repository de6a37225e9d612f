import { type Signal, useSignal } from '@preact/signals';
import type { ChillMethod } from '../../../../shared/wire/command.ts';
import { chillMethodSchema } from '../../../../shared/wire/command.ts';
import { bagsIn, controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { view } from '../../state/view.ts';
import { METHOD_WORDS } from '../../words/chill.ts';
import { oddsText } from '../../words/forecast.ts';
import { lethalityWords } from '../../words/lethality.ts';
import { Safety } from '../bag/safety.tsx';
import { Choice, Page } from '../parts.tsx';
import { Confirm } from './confirm.tsx';

/** A bag leaves the bath: what the rules say of it so far, and whether it is eaten or chilled. */
export function BagOut() {
  const bag = bagsIn.value.find((one) => one.bagId === view.value.bagId);
  const destination = useSignal<'serve' | 'chill'>('serve');
  const chilling = useSignal<ChillMethod>('ice-water');
  if (!bag) {
    return (
      <Page test="bag-out-page" title="Bag out">
        <p>That bag is not in the bath.</p>
      </Page>
    );
  }
  const [primary] = bag.lethality;
  const words = primary ? lethalityWords(primary, unit.value, controllerMs.value ?? 0) : null;
  const chill = destination.value === 'chill';
  return (
    <Confirm
      from="bag-out"
      bagId={bag.bagId}
      title={`${bag.label} out`}
      button={chill ? 'It is out, and chilling' : 'It is out of the bath'}
      done={`${bag.label} is out.`}
      order={{
        kind: 'bag-out',
        bagId: bag.bagId,
        destination: destination.value,
        ...(chill ? { chilling: chilling.value } : {}),
      }}
    >
      <p>The record keeps this moment as the end of its heat, and the estimate stops.</p>
      {primary && words && words.state !== 'met' ? (
        <p class="warn" data-test="not-met">
          Its standard, {primary.standard}: {words.word}.{words.dwell ? ` As worded: ${words.dwell}.` : ''} As
          an equivalent: {words.equivalent}. Whether it may be served is for the person in charge to judge.
        </p>
      ) : null}
      {bag.verdicts.some((verdict) => verdict.status === 'broken') ? (
        <Safety bag={bag} brief={false} />
      ) : null}
      {bag.tender ? (
        <p>Odds that it is as tender as wanted: {oddsText(bag.tender.readyNow)}, modelled.</p>
      ) : null}
      <p>The bag and its juice are as hot as the bath: use tongs, open it away from your face.</p>
      <Destination destination={destination} chilling={chilling} />
    </Confirm>
  );
}

/** Eaten now or chilled, and how. */
function Destination({
  destination,
  chilling,
}: {
  destination: Signal<'serve' | 'chill'>;
  chilling: Signal<ChillMethod>;
}) {
  return (
    <>
      <Choice
        name="destination"
        legend="What becomes of it?"
        value={destination.value}
        options={[
          { value: 'serve', text: 'Eaten now', hint: 'Serve it hot.' },
          { value: 'chill', text: 'Chilled, to be kept', hint: 'A record of its cooling begins.' },
        ]}
        onChange={(value) => {
          destination.value = value;
        }}
      />
      {destination.value === 'chill' ? (
        <>
          <Choice
            name="chilling"
            legend="How is it chilled?"
            value={chilling.value}
            options={chillMethodSchema.options.map((value) => ({ value, ...METHOD_WORDS[value] }))}
            onChange={(value) => {
              chilling.value = value;
            }}
          />
          <p data-test="chill-consequence">
            From now on the cooling rules run, and only core readings show that they are kept: read the core
            when it is about to be due, and enter it here.
          </p>
        </>
      ) : null}
    </>
  );
}

import type { BagView } from '../../../../shared/wire/status.ts';
import { contact, controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { creditAnewText, handText, probeHoldText } from '../../words/hand.ts';
import { creditText, flagText } from '../../words/safety.ts';
import { temperatureText } from '../../words/temperature.ts';
import { Strip } from '../scale.tsx';

/** Where the core stands: the middle, the span it may have, and a probe in the piece if there is one. */
export function Core({ bag, brief }: { bag: BagView; brief: boolean }) {
  const u = unit.value;
  const hand = handText(bag, u, controllerMs.value ?? 0);
  const held = probeHoldText(bag, u, controllerMs.value ?? 0);
  const anew = creditAnewText(bag, controllerMs.value ?? 0);
  const span = `${temperatureText(bag.coldC, u)} to ${temperatureText(bag.hotC, u)}`;
  return (
    <>
      <Strip
        atC={bag.coreC}
        spanC={[bag.coldC, bag.hotC]}
        faded={contact.value === 'lost'}
        summary={`Core ${temperatureText(bag.coreC, u)}, modelled; it may be ${span}`}
      />
      {brief ? null : (
        <p class="span-words" data-test="core-span">
          The core may be {span}, coldest to hottest case, modelled.
        </p>
      )}
      {hand === null || brief ? null : (
        <div class="measured" data-test="hand" data-effect={bag.hand?.effect}>
          <p>Core {hand}</p>
          {(bag.hand?.flags ?? []).map((flag) => (
            <p key={flag} class="warn" data-test="hand-flag" data-flag={flag}>
              {flagText(flag)}
            </p>
          ))}
        </div>
      )}
      {held === null || brief ? null : (
        <p class="warn" data-test="probe-hold">
          {held}
        </p>
      )}
      {anew === null || brief ? null : (
        <p class="warn" data-test="credit-anew">
          {anew}
        </p>
      )}
      {bag.measured === null ? null : (
        <div class="measured" data-test="measured" data-credited={bag.measured.credited}>
          <p>
            Probe in the piece: <b>{temperatureText(bag.measured.celsius, u)}</b>, measured.
            {brief ? '' : ` ${creditText(bag)}`}
          </p>
          {bag.measured.flags.map((flag) => (
            <p key={flag} class="warn" data-test="probe-flag" data-flag={flag}>
              {flagText(flag)}
            </p>
          ))}
        </div>
      )}
    </>
  );
}

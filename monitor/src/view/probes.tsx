import { differenceText } from '../../../shared/units/temperature.ts';
import { installation } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { dateText } from '../words/clock.ts';
import { localText } from '../words/temperature.ts';

const ROLE_WORDS = {
  bath: 'Bath probe',
  second: 'Second bath probe',
  core: 'Core probe',
  ambient: 'Room probe',
} as const;

/** Each probe of the rig: when it was calibrated, what is corrected, what is left, and what is wrong with that. */
export function ProbeList() {
  const u = unit.value;
  const probes = installation.value?.probes ?? [];
  return (
    <section data-test="probes">
      <h2>Probes</h2>
      {probes.map(({ rom, role, calibratedAtMs, correctionK, errorK, flags }) => (
        <div key={rom} data-test={`probe-${role}`}>
          <p>
            <strong>{ROLE_WORDS[role]}.</strong>{' '}
            {calibratedAtMs === null || correctionK === null
              ? 'Not calibrated.'
              : `Calibrated ${dateText(calibratedAtMs)}. Corrected by ${correctionK < 0 ? '−' : '+'}${differenceText(Math.abs(correctionK), u, 2)}.`}{' '}
            Reckoned with an error of {differenceText(errorK, u, 2)} either way. <small>{rom}</small>
          </p>
          {flags.map((flag) => (
            <p key={flag.id} class="do" data-test={`probe-flag-${flag.id}`}>
              {localText(flag.text, u)}
            </p>
          ))}
        </div>
      ))}
    </section>
  );
}

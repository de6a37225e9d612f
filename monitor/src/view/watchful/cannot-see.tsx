import '../../styles/watchful.css';
import { unseenBy } from '../../../../shared/bath/unseen.ts';
import { status } from '../../state/bath.ts';
import { Page } from '../parts.tsx';

/** What of the rig is there and heard, by what leaving the cook alone lacks. */
function seeing() {
  const lacks = new Set((status.value?.attendance.lacks ?? []).map((lack) => lack.id));
  return {
    secondProbe: !lacks.has('second-probe'),
    levelSwitch: !lacks.has('level-switch'),
    guardSwitch: !lacks.has('guard-switch'),
  };
}

/** Faults that this rig cannot see, or not in time, with why and what helps. */
export function CannotSeePage() {
  const rig = seeing();
  const has = [
    rig.secondProbe ? 'two water probes' : 'one water probe',
    rig.levelSwitch ? 'a level switch' : 'no level switch',
    rig.guardSwitch ? 'two switches' : 'one switch',
  ];
  return (
    <Page test="cannot-see-page" title="What this rig cannot see">
      <p>
        As it is now, this rig has {has[0]}, {has[1]} and {has[2]}. No alarm comes for what is below, or it
        comes late. Nobody should rely on a quiet page for these: look at the bath.
      </p>
      {unseenBy(rig).map(({ id, fault, why, help }) => (
        <section key={id} class="unseen" data-test={`unseen-${id}`}>
          <h2>{fault}</h2>
          <p>{why}</p>
          <p class="do">
            <b>What helps:</b> {help}
          </p>
        </section>
      ))}
    </Page>
  );
}

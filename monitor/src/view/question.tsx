import { controllerMs, status } from '../state/bath.ts';
import { busy, run } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { ageText } from '../words/reading.ts';
import { localText } from '../words/temperature.ts';
import { Button } from './parts.tsx';

/** The controller asks something; the answer is a command. */
export function Question() {
  const asked = status.value?.question;
  if (!asked) return null;
  const left = Math.max(0, asked.dueMs - (controllerMs.value ?? asked.sinceMs));
  const answer = (foodIn: boolean) =>
    run({
      order: { kind: 'answer-load', foodIn },
      from: 'watch',
      done: foodIn ? 'Noted: food went in.' : 'Noted: no food went in.',
      stay: true,
    });
  return (
    <section class="question" data-test="question" aria-label="Question of the controller">
      <h2>Did food go in?</h2>
      <p>{localText(asked.text, unit.value)}</p>
      <div class="row">
        <Button test="answer-yes" strong disabled={busy.value} onPress={() => answer(true)}>
          Yes, food went in
        </Button>
        <Button test="answer-no" disabled={busy.value} onPress={() => answer(false)}>
          No
        </Button>
      </div>
      <p class="help">Unanswered for another {ageText(left)}, it counts as yes.</p>
    </section>
  );
}

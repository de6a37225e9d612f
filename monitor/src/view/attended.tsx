import { cookRunning, status } from '../state/bath.ts';
import { go } from '../state/view.ts';
import { Button } from './parts.tsx';

/** Who watches this cook, in a line, and the way to what leaving it alone lacks. */
export function Attended() {
  const now = status.value;
  if (!now || !cookRunning.value) return null;
  const { unattended, lacks } = now.attendance;
  const alone = unattended && lacks.length === 0;
  return (
    <Button test="go-attendance" onPress={() => go('attendance')}>
      {alone ? 'Left alone' : `Attended: ${lacks.length === 0 ? 'may' : 'must not'} be left alone`}…
    </Button>
  );
}

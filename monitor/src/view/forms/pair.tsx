import { signal } from '@preact/signals';
import type { Trouble } from '../../command/send.ts';
import { pair, waiting } from '../../state/errand.ts';
import { Page, Submit, TextField, TroubleBox } from '../parts.tsx';

const code = signal('');
const name = signal('');
const refused = signal<Trouble | null>(null);

async function send(): Promise<void> {
  refused.value = null;
  const outcome = await pair(code.value.trim(), name.value.trim());
  code.value = '';
  if (!outcome.ok) refused.value = outcome.trouble;
}

/** Pairs this phone once with the code the controller shows; a command that waited for it then goes on. */
export function PairForm() {
  const ready = code.value.trim() !== '' && name.value.trim() !== '';
  return (
    <Page test="pair-form" title="Pair this phone">
      <p>
        {waiting.value ? 'What you asked for can heat the bath or changes the record. ' : ''}
        Only a paired phone may do that. The code stands on the controller’s own screen or in its log.
        Watching and stopping the heat need no pairing.
      </p>
      <TextField
        id="pair-code"
        label="Code"
        value={code.value}
        maxLength={12}
        inputMode="numeric"
        onChange={(value) => {
          code.value = value;
        }}
      />
      <TextField
        id="pair-name"
        label="Who is this? The record names you by it"
        value={name.value}
        maxLength={40}
        onChange={(value) => {
          name.value = value;
        }}
      />
      {refused.value ? <TroubleBox trouble={refused.value} /> : null}
      <Submit
        test="pair-submit"
        ready={ready}
        why="The code and a name are missing."
        onPress={() => {
          void send();
        }}
      >
        {waiting.value ? 'Pair and go on' : 'Pair'}
      </Submit>
    </Page>
  );
}

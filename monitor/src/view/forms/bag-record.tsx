import { TextField } from '../parts.tsx';
import type { FieldProps } from './bag.tsx';

/** What an inspector asks for; nothing of it changes the estimate. */
export function RecordFields({ draft, change }: FieldProps) {
  return (
    <details class="for-record">
      <summary data-test="for-record">For the record: lot, supplier, cure</summary>
      <TextField id="lot" label="Lot" value={draft.lot} maxLength={60} onChange={(lot) => change({ lot })} />
      <TextField
        id="supplier"
        label="Supplier"
        value={draft.supplier}
        maxLength={60}
        onChange={(supplier) => change({ supplier })}
      />
      <TextField
        id="cure"
        label="Cure: kind, share of the weight, how long"
        value={draft.cure}
        maxLength={300}
        onChange={(cure) => change({ cure })}
      />
    </details>
  );
}

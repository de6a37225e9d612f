import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { cutById, cuts } from '../../../../shared/food/cuts.ts';
import { endpointSchema } from '../../../../shared/wire/command.ts';
import { newId } from '../../command/send.ts';
import {
  type BagDraft,
  betaFor,
  bounds,
  draftOf,
  emptyDraft,
  type ShapeChoice,
  specOf,
  usualOf,
  usualShapeText,
} from '../../food/bag-draft.ts';
import { bagsIn, status } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { view } from '../../state/view.ts';
import { ENDPOINT_WORDS } from '../../words/forecast.ts';
import { localText } from '../../words/temperature.ts';
import { Choice, NumberField, Page, Submit, TextField, TroubleOf } from '../parts.tsx';
import { RecordFields } from './bag-record.tsx';

/** One draft a view, so that a trip to the pairing view loses nothing. */
const drafts = signal<Readonly<Record<string, BagDraft>>>({});

/** The shapes to choose from; the first as the chosen cut usually is. */
function shapes(cutId: string): { value: ShapeChoice; text: string; hint: string }[] {
  const cut = cutById(cutId);
  return [
    { value: 'usual', text: 'As usual', hint: cut ? usualShapeText(cut) : 'for the cut' },
    { value: 'slab', text: 'Flat', hint: 'much wider than thick' },
    { value: 'roll', text: 'Roll', hint: 'round, about twice as long' },
    { value: 'cylinder', text: 'Long roll', hint: 'five times as long or more' },
    { value: 'sphere', text: 'Ball', hint: 'as long as thick' },
    { value: 'other', text: 'Between', hint: 'by number' },
  ];
}

function CutField({ draft, change }: FieldProps) {
  const kinds = [...new Set(cuts.map((cut) => cut.species))];
  const pick = (cutId: string) => {
    const cut = cutById(cutId);
    if (!cut) return;
    change(usualOf(cut, status.value?.bags ?? []));
  };
  const notes = cutById(draft.cutId)?.notes;
  return (
    <div class="field">
      <label for="cut">Cut</label>
      <select
        id="cut"
        data-test="cut"
        value={draft.cutId}
        onChange={(event) => pick(event.currentTarget.value)}
      >
        {draft.cutId === '' ? <option value="">Choose the cut…</option> : null}
        {kinds.map((kind) => (
          <optgroup key={kind} label={kind.replace('-', ' ')}>
            {cuts
              .filter((cut) => cut.species === kind)
              .map((cut) => (
                <option key={cut.id} value={cut.id}>
                  {cut.name}
                </option>
              ))}
          </optgroup>
        ))}
      </select>
      {notes ? <p class="help">{notes}</p> : null}
    </div>
  );
}

export interface FieldProps {
  readonly draft: BagDraft;
  readonly change: (part: Partial<BagDraft>) => void;
}

/** A beta as it stands in its field. */
const betaText = (beta: number) => (Number.isFinite(beta) ? beta.toFixed(2) : '');

function ShapeFields({ draft, change }: FieldProps) {
  return (
    <>
      <Choice
        name="shape"
        legend="Shape"
        value={draft.shape}
        options={shapes(draft.cutId)}
        onChange={(shape) =>
          change(shape === 'other' ? { shape, beta: betaText(betaFor(draft)) } : { shape })
        }
      />
      {draft.shape === 'other' ? (
        <NumberField
          id="beta"
          label="Between"
          unitText="0 flat, 1 long, 2 ball"
          value={draft.beta}
          step={0.1}
          decimals={2}
          {...bounds(draft.unit).beta}
          onChange={(beta) => change({ beta })}
        />
      ) : null}
    </>
  );
}

/** What is wanted of the dish; only where tenderness takes time. */
function EndpointField({ draft, change }: FieldProps) {
  const cut = cutById(draft.cutId);
  if (!cut || cut.tendernessClass === null) return null;
  return (
    <Choice
      name="endpoint"
      legend="Wanted of the dish"
      value={draft.endpoint}
      options={endpointSchema.options.map((value) => ({ value, ...ENDPOINT_WORDS[value] }))}
      onChange={(endpoint) => change({ endpoint })}
    />
  );
}

function Fields({ draft, change }: FieldProps) {
  const b = bounds(draft.unit);
  const usual = cutById(draft.cutId)?.typicalThicknessMm;
  return (
    <>
      <CutField draft={draft} change={change} />
      <TextField
        id="bag-label"
        label="Label"
        value={draft.label}
        maxLength={60}
        onChange={(label) => change({ label })}
      />
      <NumberField
        id="thickness"
        label="Thickness"
        unitText="mm"
        value={draft.thicknessMm}
        step={5}
        {...b.thicknessMm}
        {...(usual === undefined ? {} : { usual })}
        help={`The filled bag at its thickest, as it lies. Pieces that touch count as one. If in doubt, thicker.${
          usual === undefined ? '' : ` This cut often has ${usual} mm.`
        }`}
        onChange={(thicknessMm) => change({ thicknessMm })}
      />
      <ShapeFields draft={draft} change={change} />
      <EndpointField draft={draft} change={change} />
      <NumberField
        id="start-temperature"
        label="Temperature of the food as it goes in"
        unitText={`°${draft.unit}`}
        value={draft.start}
        step={1}
        {...b.start}
        help={localText(
          'Out of a cold fridge about 4 °C (39 °F). Frozen food is not modelled: thaw it first.',
          draft.unit,
        )}
        onChange={(start) => change({ start })}
      />
      <NumberField
        id="mass"
        label="Weight, if known"
        unitText="kg"
        value={draft.massKg === '' ? '' : draft.massKg}
        step={0.1}
        decimals={1}
        {...b.massKg}
        optional
        usual={1.5}
        onChange={(massKg) => change({ massKg })}
      />
      <RecordFields draft={draft} change={change} />
    </>
  );
}

/** Says that a bag went in. */
export function BagInForm() {
  const key = 'bag-in';
  const draft = drafts.value[key] ?? emptyDraft(unit.value);
  const change = (part: Partial<BagDraft>) => {
    drafts.value = { ...drafts.value, [key]: { ...draft, ...part } };
  };
  const made = specOf(draft, 'new');
  return (
    <Page test="bag-form" title="Bag in">
      <Fields draft={draft} change={change} />
      <NumberField
        id="minutes-ago"
        label="Went in, minutes ago"
        unitText="min"
        value={draft.minutesAgo}
        step={1}
        {...bounds(draft.unit).minutesAgo}
        onChange={(minutesAgo) => change({ minutesAgo })}
      />
      <TroubleOf view="bag-in" />
      <Submit
        test="bag-submit"
        ready={made.ok}
        why={made.ok ? undefined : `Still missing: ${made.missing.join(', ')}.`}
        onPress={() => {
          if (!made.ok) return;
          void run({
            order: { kind: 'bag-in', bag: { ...made.bag, bagId: newId('bag') }, agoS: made.agoS },
            from: 'bag-in',
            done: `${made.bag.label} is in.`,
            after: () => forget(key),
          });
        }}
      >
        It is in the bath
      </Submit>
    </Page>
  );
}

function forget(key: string): void {
  const { [key]: _, ...rest } = drafts.value;
  drafts.value = rest;
}

/** Corrects what was said of a bag; the estimate is made anew from when it went in. */
export function BagEditForm() {
  const bag = bagsIn.value.find((one) => one.bagId === view.value.bagId);
  const key = `edit-${view.value.bagId}`;
  // A draft that was left is not to surprise anybody later.
  useEffect(
    () => () => {
      if (view.peek().name === 'watch') forget(key);
    },
    [key],
  );
  if (!bag) {
    return (
      <Page test="bag-form" title="Correct a bag">
        <p>That bag is not in the bath.</p>
      </Page>
    );
  }
  const draft = drafts.value[key] ?? draftOf(bag, unit.value);
  const change = (part: Partial<BagDraft>) => {
    drafts.value = { ...drafts.value, [key]: { ...draft, ...part } };
  };
  const made = specOf(draft, bag.bagId);
  return (
    <Page test="bag-form" title={`Correct ${bag.label}`}>
      <p class="help">The estimate is made anew from the time the bag went in.</p>
      <Fields draft={draft} change={change} />
      <TroubleOf view="bag-edit" />
      <Submit
        test="bag-submit"
        ready={made.ok}
        why={made.ok ? undefined : `Still missing: ${made.missing.join(', ')}.`}
        onPress={() => {
          if (!made.ok) return;
          void run({
            order: { kind: 'edit-bag', bag: made.bag },
            from: 'bag-edit',
            bagId: bag.bagId,
            done: `${made.bag.label} is corrected.`,
            after: () => forget(key),
          });
        }}
      >
        Keep the correction
      </Submit>
    </Page>
  );
}

import { MATERIALS } from '../../../shared/bag/materials.ts';
import type { Rig } from '../../../shared/plan/rig.ts';
import { unit } from '../state/prefs.ts';
import { Choice, NumberField, TextField, Tick } from '../view/parts.tsx';
import { inUnit, localText, temperatureText } from '../words/temperature.ts';
import { litresText } from './measures.ts';
import { draft, known, mass, phoneZone, type } from './state.ts';

/** Everything that has an honest default, folded away. */
export function MoreFields() {
  const { zone, odds, bath } = draft.value;
  const said = [
    `ready in time ${odds || '80'} times in 100`,
    bath === '' ? 'the bath chosen for the cut and the time' : `bath at ${bath} °${draft.value.unit}`,
    known.value?.rig.kind === 'identified' ? 'the rig as measured' : 'the rig as described',
    ...(zone === phoneZone ? [] : [`times of ${zone}`]),
  ];
  return (
    <details class="plan-more" data-test="plan-more">
      <summary>
        <b>More:</b> {said.join(', ')}.
      </summary>
      <div class="plan-fold">
        <TimeFields />
        <BathFields />
        <RigFields />
      </div>
    </details>
  );
}

function TimeFields() {
  const { odds, wakeAtNight, serveFrom, zone } = draft.value;
  return (
    <>
      <NumberField
        id="plan-odds"
        label="Odds wanted of being ready in time"
        unitText="in 100"
        value={odds}
        step={5}
        min={50}
        max={99}
        help="More odds, earlier start: what is tender early can be held."
        onChange={(value) => type({ odds: value })}
      />
      <Choice
        name="plan-from"
        legend="Served"
        value={serveFrom}
        options={[
          { value: 'bath', text: 'From the bath', hint: 'straight to the table' },
          { value: 'fridge', text: 'Cooked before', hint: 'chilled in ice, made hot again' },
        ]}
        onChange={(value) => type({ serveFrom: value })}
      />
      <Tick id="plan-wake" checked={wakeAtNight} onChange={(value) => type({ wakeAtNight: value })}>
        Steps may fall in the night, 22:00 to 06:00: somebody is up.
      </Tick>
      <TextField
        id="plan-zone"
        label="Time zone of the kitchen"
        value={zone}
        maxLength={60}
        onChange={(value) => type({ zone: value })}
      />
    </>
  );
}

function BathFields() {
  const { bath, fridge, unit: u } = draft.value;
  const degrees = (c: number) => Math.round(inUnit(c, u));
  return (
    <>
      <NumberField
        id="plan-bath"
        label="Bath"
        unitText={`°${u}`}
        value={bath}
        step={1}
        min={degrees(50)}
        max={degrees(92)}
        optional
        usual={degrees(74)}
        help={`Left empty: chosen. Tough cuts usually have ${temperatureText(66, u, 0)} to ${temperatureText(82, u, 0)}.`}
        onChange={(value) => type({ bath: value })}
      />
      <NumberField
        id="plan-fridge"
        label="Fridge, measured"
        unitText={`°${u}`}
        value={fridge}
        step={1}
        min={degrees(-1)}
        max={degrees(10)}
        optional
        usual={degrees(4)}
        help={localText('Left empty: 4 °C (39 °F). Salted meat wants 2.2 to 4.4 C.', u)}
        onChange={(value) => type({ fridge: value })}
      />
    </>
  );
}

function rigLine(rig: Rig): string {
  const u = unit.value;
  const water = `${litresText(rig.waterLitres, mass.value)} of water at ${temperatureText(rig.fillC, u, 0)}`;
  const where = `room ${temperatureText(rig.roomC, u, 0)}, ${rig.altitudeM} m up, lid ${rig.lidOn ? 'on' : 'off'}`;
  return rig.kind === 'identified'
    ? `As measured by the controller on this rig: ${Math.round(rig.figures.watts)} W reach the water. ${water}, ${where}.`
    : `As described to the controller, not yet measured: ${rig.elementW} W, ${water}, ${where}.`;
}

interface RigNumber {
  readonly id: string;
  readonly field: 'fill' | 'litres' | 'room' | 'altitude';
  readonly label: string;
  /** Null: degrees, bounds and usual in C. */
  readonly unitText: 'L' | 'm' | null;
  readonly step: number;
  readonly min: number;
  readonly max: number;
  readonly usual: number;
  readonly help: string;
}

const RIG_NUMBERS: readonly RigNumber[] = [
  {
    id: 'plan-fill',
    field: 'fill',
    label: 'Water as it is poured in',
    unitText: null,
    step: 5,
    min: 1,
    max: 90,
    usual: 12,
    help: 'Hot tap water saves an hour of heating.',
  },
  {
    id: 'plan-litres',
    field: 'litres',
    label: 'Water',
    unitText: 'L',
    step: 1,
    min: 3,
    max: 500,
    usual: 21,
    help: 'What is poured in, without the food.',
  },
  {
    id: 'plan-room',
    field: 'room',
    label: 'Room',
    unitText: null,
    step: 1,
    min: -30,
    max: 50,
    usual: 20,
    help: 'A cold room loses more heat.',
  },
  {
    id: 'plan-altitude',
    field: 'altitude',
    label: 'Altitude',
    unitText: 'm',
    step: 100,
    min: -500,
    max: 5000,
    usual: 0,
    help: 'Water boils lower up high.',
  },
];

function RigFields() {
  const rig = known.value?.rig;
  const { lid, filmId, linerId, unit: u } = draft.value;
  return (
    <>
      <h2>The rig</h2>
      <p class="help">
        {rig ? rigLine(rig) : 'Not heard from the controller yet.'} Change only what is different.
      </p>
      {RIG_NUMBERS.map(({ field, unitText, min, max, usual, ...rest }) => {
        const shown = (value: number) => (unitText === null ? Math.round(inUnit(value, u)) : value);
        return (
          <NumberField
            key={field}
            {...rest}
            unitText={unitText ?? `°${u}`}
            value={draft.value[field]}
            min={shown(min)}
            max={shown(max)}
            usual={shown(field === 'litres' ? (rig?.waterLitres ?? usual) : usual)}
            optional
            onChange={(value) => type({ [field]: value })}
          />
        );
      })}
      <Choice
        name="plan-lid"
        legend="Lid"
        value={lid === 'known' ? (rig?.lidOn === false ? 'off' : 'on') : lid}
        options={[
          { value: 'on', text: 'On', hint: 'heats faster, loses less' },
          { value: 'off', text: 'Off', hint: 'dries up as well' },
        ]}
        onChange={(value) => type({ lid: value })}
      />
      <MaterialField
        id="plan-film"
        label="Bag"
        value={filmId || (rig?.filmId ?? '')}
        pick="filmId"
        use="bag"
      />
      <MaterialField
        id="plan-liner"
        label="Box"
        value={linerId || (rig?.linerId ?? '')}
        pick="linerId"
        use="liner"
      />
    </>
  );
}

interface MaterialProps {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly pick: 'filmId' | 'linerId';
  readonly use: 'bag' | 'liner';
}

/** What bag or box is made of: it caps the bath. */
function MaterialField({ id, label, value, pick, use }: MaterialProps) {
  const offered = MATERIALS.filter((one) => one.use === use);
  const chosen = offered.find((one) => one.id === value);
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select
        id={id}
        data-test={id}
        value={value}
        onChange={(event) => type({ [pick]: event.currentTarget.value })}
      >
        {offered.map((one) => (
          <option key={one.id} value={one.id}>
            {one.name}
          </option>
        ))}
      </select>
      {chosen ? (
        <p class="help">No hotter than {temperatureText(chosen.maxC, draft.value.unit, 0)} for long.</p>
      ) : null}
    </div>
  );
}

import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { type PlantEventMessage, type PlantTruth, plantTruthSchema } from '../../../shared/wire/plant.ts';
import { newId, post, type Trouble } from '../command/send.ts';
import { installation } from '../state/bath.ts';
import { say } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { localText, temperatureText } from '../words/temperature.ts';
import { Button, Page, TroubleBox } from './parts.tsx';

const LOOK_EVERY_MS = 1000;

interface Deed {
  readonly test: string;
  readonly text: string;
  readonly event: PlantEventMessage;
}

const FAULTS = ['none', 'absent', 'stuck', 'noisy', 'offset', 'out-of-water'] as const;

function switches(truth: PlantTruth | null): Deed[] {
  const lid = truth?.lidOn ?? true;
  const pump = truth?.pumpOn ?? true;
  const mains = truth?.mainsOn ?? true;
  return [
    {
      test: 'plant-lid',
      text: lid ? 'Take the lid off' : 'Put the lid on',
      event: { kind: 'lid', on: !lid },
    },
    {
      test: 'plant-pump',
      text: pump ? 'Stop the pump' : 'Start the pump',
      event: { kind: 'pump', on: !pump },
    },
    {
      test: 'plant-mains',
      text: mains ? 'Cut the mains' : 'Give the mains back',
      event: { kind: 'mains', on: !mains },
    },
  ];
}

const FIXED: readonly { title: string; deeds: readonly Deed[] }[] = [
  {
    title: 'Element and switches',
    deeds: [
      { test: 'plant-element-dead', text: 'Element dead', event: { kind: 'element', works: false } },
      { test: 'plant-element-works', text: 'Element works', event: { kind: 'element', works: true } },
      ...(['regulating', 'guard'] as const).flatMap((name): Deed[] => [
        {
          test: `plant-weld-${name}`,
          text: `Weld ${name} switch`,
          event: { kind: 'weld', switch: name, welded: true },
        },
        {
          test: `plant-free-${name}`,
          text: `Free ${name} switch`,
          event: { kind: 'weld', switch: name, welded: false },
        },
      ]),
    ],
  },
  ...(['bath', 'second'] as const).map((probe) => ({
    title: `${probe === 'bath' ? 'Bath' : 'Second'} probe`,
    deeds: FAULTS.map(
      (fault): Deed => ({
        test: `plant-probe-${probe}-${fault}`,
        text: fault === 'none' ? 'well' : fault.replaceAll('-', ' '),
        event: { kind: 'probe', probe, fault },
      }),
    ),
  })),
  {
    title: 'Water and room',
    deeds: [
      { test: 'plant-leak', text: 'Leak 200 ml/min', event: { kind: 'leak', mlPerMin: 200 } },
      { test: 'plant-leak-stop', text: 'Stop the leak', event: { kind: 'leak', mlPerMin: 0 } },
      { test: 'plant-top-up', text: 'Top up 2 L, 15 °C', event: { kind: 'top-up', litres: 2, celsius: 15 } },
      { test: 'plant-ambient-cold', text: 'Room at 2 °C', event: { kind: 'ambient', celsius: 2 } },
      { test: 'plant-ambient-usual', text: 'Room at 18 °C', event: { kind: 'ambient', celsius: 18 } },
    ],
  },
];

/** Food put in without a word to the controller: a cold lamb shoulder. */
function unannounced(): PlantEventMessage {
  return {
    kind: 'bag-in',
    airMl: 20,
    bag: {
      bagId: newId('secret'),
      label: 'Unannounced lamb shoulder',
      cutId: 'lamb-shoulder',
      beta: 1,
      thicknessMm: 60,
      massKg: 1.8,
      startC: 4,
      endpoint: 'fork-tender',
    },
  };
}

function Truth({ truth }: { truth: PlantTruth }) {
  const u = unit.value;
  const rows: [string, string][] = [
    ['Water, true', temperatureText(truth.waterC, u, 2)],
    ['Top / bottom', `${temperatureText(truth.topC, u)} / ${temperatureText(truth.bottomC, u)}`],
    ['Element', temperatureText(truth.elementC, u)],
    ['Water left', `${truth.litres.toFixed(1)} L${truth.elementUncovered ? ', element uncovered' : ''}`],
    [
      'Lid / pump / mains',
      [truth.lidOn, truth.pumpOn, truth.mainsOn].map((on) => (on ? 'on' : 'off')).join(' / '),
    ],
    ['Room', temperatureText(truth.ambientC, u)],
  ];
  return (
    <dl class="truth" data-test="truth" data-water-c={truth.waterC}>
      {rows.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
      {truth.bags.map((bag) => (
        <div key={bag.bagId}>
          <dt>Core of {bag.bagId}</dt>
          <dd>
            {temperatureText(bag.coreC, u)}
            {bag.afloat ? ', afloat' : ''}
          </dd>
        </div>
      ))}
    </dl>
  );
}

/** The truth at this moment, or null where it could not be read: the next look will tell. */
async function fetchTruth(): Promise<PlantTruth | null> {
  try {
    const response = await fetch('/api/plant');
    const parsed = plantTruthSchema.safeParse(await response.json());
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

/** For developers, on the simulated rig only: break things, and see the truth that no probe shows. */
export function PlantPage() {
  const truth = useSignal<PlantTruth | null>(null);
  const refused = useSignal<Trouble | null>(null);
  const look = async () => {
    truth.value = (await fetchTruth()) ?? truth.value;
  };
  useEffect(() => {
    void look();
    const timer = setInterval(() => void look(), LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  if (installation.value?.rigKind === 'usb') return null;
  const does = async (event: PlantEventMessage, text: string) => {
    const outcome = await post('/api/plant', event);
    refused.value = outcome.ok ? null : outcome.trouble;
    if (outcome.ok) say(`Done to the simulated bath: ${text}`);
    else if (outcome.trouble.code === 'not-paired') go('pair');
    await look();
  };
  const button = ({ test, text, event }: Deed) => (
    <Button key={test} test={test} onPress={() => does(event, text)}>
      {localText(text, unit.value)}
    </Button>
  );
  return (
    <Page test="plant-page" title="Simulated bath">
      <p class="help">For developers. Nothing here exists on a real rig.</p>
      {refused.value ? <TroubleBox trouble={refused.value} /> : null}
      {truth.value ? <Truth truth={truth.value} /> : <p>Reading the truth…</p>}
      <div class="ways">{switches(truth.value).map(button)}</div>
      <div class="ways">
        <Button test="plant-bag-in" onPress={() => does(unannounced(), 'food put in unannounced')}>
          Put food in without telling
        </Button>
        {(truth.value?.bags ?? []).flatMap(({ bagId }) => [
          button({
            test: `plant-out-${bagId}`,
            text: `Take ${bagId} out`,
            event: { kind: 'bag-out', bagId },
          }),
          button({
            test: `plant-air-${bagId}`,
            text: `Blow air into ${bagId}`,
            event: { kind: 'bag-air', bagId, airMl: 800 },
          }),
        ])}
      </div>
      {FIXED.map((group) => (
        <section key={group.title}>
          <h2>{group.title}</h2>
          <div class="ways">{group.deeds.map(button)}</div>
        </section>
      ))}
    </Page>
  );
}

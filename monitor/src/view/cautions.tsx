import { unit } from '../state/prefs.ts';
import { localText } from '../words/temperature.ts';
import { Page } from './parts.tsx';

const CAUTIONS: readonly { title: string; lines: readonly string[] }[] = [
  {
    title: 'Mains and water',
    lines: [
      'Mains power beside water can kill. The supply must have a residual-current device (RCD, GFCI) that trips at 30 mA or less; press its test button before each cook.',
      'All metal that touches the water is earthed. Cables come in over the rim with a drip loop; plugs and boxes stand away from and above the water.',
      'Pull the plug before hands, tools or probes go into the water.',
      'Wiring of mains is work for a licensed person where your local code says so. Local codes come before anything shown here.',
    ],
  },
  {
    title: 'Scalds',
    lines: [
      'Water above 60 °C (140 °F) burns skin within seconds. Use tongs, keep children away, never lift a full box.',
      'Steam and juice rush out of an opened bag: open it away from your face.',
    ],
  },
  {
    title: 'Food',
    lines: [
      'The core is modelled, not measured, from the thickness you give. Measure the filled bag at its thickest; if in doubt, thicker.',
      'Food that stays warm but not hot can grow bacteria whose toxins no later heat destroys.',
      'A bag that floats or lies on another does not heat as modelled. Weigh it down, keep water moving all around it.',
      'For the old, the very young, the pregnant and the ill, ask for more than the least the rule asks.',
      'Rules named here are aids. The person in charge of the kitchen and local food law decide.',
    ],
  },
  {
    title: 'This page',
    lines: [
      'An alarm on a phone can be missed. Look at the bath yourself at intervals you can answer for.',
      'Some faults show in no reading, so no alarm comes: see “What this rig cannot see”.',
      'If in doubt: stop the heat, and pull the plug.',
    ],
  },
];

export function CautionList() {
  return (
    <div class="cautions" data-test="cautions">
      {CAUTIONS.map((caution) => (
        <section key={caution.title}>
          <h2>{caution.title}</h2>
          <ul>
            {caution.lines.map((line) => (
              <li key={line}>{localText(line, unit.value)}</li>
            ))}
          </ul>
        </section>
      ))}
    </div>
  );
}

export function CautionsPage() {
  return (
    <Page test="cautions-page" title="Cautions">
      <CautionList />
    </Page>
  );
}

// First of all: see the file.
import './stream/plain-zod.ts';
import 'uplot/dist/uPlot.min.css';
import './styles/tones.css';
import './styles/base.css';
import './styles/parts.css';
import './styles/bars.css';
import './styles/strips.css';
import './styles/bags.css';
import './styles/chart.css';
import './styles/watch.css';
import './styles/alarm.css';
import './styles/how.css';
import { effect } from '@preact/signals';
import { render } from 'preact';
import { alarms, startAlerting } from './state/alerting.ts';
import { contact, nowMs, reading, sink } from './state/bath.ts';
import { tone, unit } from './state/prefs.ts';
import { browserWorld, pageNow } from './stream/browser-world.ts';
import { StreamClient } from './stream/client.ts';
import { App } from './view/app.tsx';
import { wantsAcknowledge } from './words/alarms.ts';
import { temperatureText } from './words/temperature.ts';

const CLOCK_MS = 500;

const client = new StreamClient(browserWorld, sink);

function look(): void {
  nowMs.value = pageNow();
}

effect(() => {
  document.documentElement.dataset.tone = tone.value;
});

effect(() => {
  const ringing = alarms.value.find(wantsAcknowledge);
  if (contact.value === 'lost') document.title = 'Not connected · Bathkeeper';
  else if (ringing) document.title = `ALARM: ${ringing.title} · Bathkeeper`;
  else document.title = `${temperatureText(reading.value?.celsius ?? null, unit.value)} · Bathkeeper`;
});

document.addEventListener('visibilitychange', () => {
  look();
  if (document.visibilityState === 'visible') client.wake();
});
addEventListener('online', () => client.wake());

setInterval(look, CLOCK_MS);
startAlerting();
client.start();
render(<App onRetry={() => client.wake()} />, document.getElementById('app')!);

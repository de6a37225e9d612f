import { computed, effect, signal } from '@preact/signals';
import { Player } from '../sound/player.ts';
import { burstDue, QUIET_MS, soundingKeys } from '../sound/policy.ts';
import { type Readiness, readinessOf, type WakeState } from '../sound/readiness.ts';
import { isHeard, standing, wantsAcknowledge } from '../words/alarms.ts';
import { STAGE_WORDS } from '../words/stage.ts';
import { contact, cookRunning, nowMs, status } from './bath.ts';
import { keepAwake } from './prefs.ts';

const audio = signal<'unsupported' | 'locked' | 'running' | 'interrupted'>('locked');
const visible = signal(document.visibilityState === 'visible');
const wake = signal<WakeState>('wakeLock' in navigator ? 'off' : 'unsupported');
const quietUntilMs = signal(0);
let quietKeys: ReadonlySet<string> = new Set();

const player = new Player(() => {
  audio.value = player.state;
});
audio.value = player.state;

/** From within a touch: the sound of an alarm, to judge by. */
export function trySound(): void {
  void player.prove();
}

export const lostWithCook = computed(() => contact.value === 'lost' && cookRunning.value);
export const alarms = computed(() => standing(status.value?.alarms ?? []));
export const quiet = computed(() => nowMs.value < quietUntilMs.value);

/** Keeps this phone quiet about what stands now, for two minutes. It acknowledges nothing. */
export function beQuiet(): void {
  quietKeys = soundingKeys(alarms.value, lostWithCook.value);
  quietUntilMs.value = nowMs.value + QUIET_MS;
}

export const soundingNow = computed(() => alarms.value.some(isHeard) || lostWithCook.value);

export const readiness = computed<Readiness>(() =>
  readinessOf({
    audio: audio.value,
    visible: visible.value,
    connected: contact.value === 'live',
    wake: wake.value,
    secure: window.isSecureContext,
  }),
);

/** What a screen reader is told, on transitions only. */
export const spokenCalm = signal('');
export const spokenAlarm = signal('');

async function holdScreen(): Promise<void> {
  if (wake.value !== 'off' || keepAwake.value === 'no' || !visible.value) return;
  try {
    const lock = await navigator.wakeLock.request('screen');
    wake.value = 'held';
    lock.addEventListener('release', () => {
      wake.value = 'off';
    });
  } catch {
    wake.value = 'off';
  }
}

/** Starts sound, screen and announcements; called once. */
export function startAlerting(): void {
  document.addEventListener('visibilitychange', () => {
    visible.value = document.visibilityState === 'visible';
    void holdScreen();
  });
  void holdScreen();
  for (const kind of ['click', 'keydown']) {
    document.addEventListener(kind, () => void player.unlock(), { capture: true });
  }
  effect(() => {
    const due = burstDue({
      alarms: alarms.value,
      lostWithCook: lostWithCook.value,
      nowMs: nowMs.value,
      quietUntilMs: quietUntilMs.value,
      quietKeys,
    });
    if (due === null) player.rest();
    else player.sound(due, nowMs.value);
  });
  let before = '';
  effect(() => {
    const text = alarms.value
      .filter(wantsAcknowledge)
      .map((alarm) => alarm.title)
      .join('. ');
    if (text !== before) spokenAlarm.value = text === '' ? '' : `Alarm. ${text}`;
    before = text;
  });
  effect(() => {
    const stage = status.value?.cook ? STAGE_WORDS[status.value.cook.stage] : '';
    spokenCalm.value = contact.value === 'lost' ? 'Not connected to the controller.' : stage;
  });
}

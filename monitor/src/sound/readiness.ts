export type AudioState = 'unsupported' | 'locked' | 'running' | 'interrupted';
export type WakeState = 'unsupported' | 'off' | 'held';

export interface PhoneFacts {
  readonly audio: AudioState;
  readonly visible: boolean;
  readonly connected: boolean;
  readonly wake: WakeState;
  /** False on plain http: no wake lock, no notifications there. */
  readonly secure: boolean;
}

export interface ReadinessLine {
  readonly ok: boolean;
  readonly text: string;
}

export interface Readiness {
  /** Whether an alarm raised at this moment would be heard from this phone. */
  readonly canAlarm: boolean;
  readonly headline: string;
  readonly lines: readonly ReadinessLine[];
}

const AUDIO_LINES: Record<AudioState, ReadinessLine> = {
  running: { ok: true, text: 'Sound is allowed. The volume and the silent switch are yours to check.' },
  locked: { ok: false, text: 'Sound is not allowed yet: touch the page once.' },
  interrupted: { ok: false, text: 'The phone has paused the sound: touch the page once.' },
  unsupported: { ok: false, text: 'This browser cannot make the sound.' },
};

function wakeLine({ wake, secure }: PhoneFacts): ReadinessLine {
  if (wake === 'held') return { ok: true, text: 'The screen is kept on while this page is open.' };
  if (!secure) {
    return {
      ok: false,
      text: 'Opened by plain http, this page cannot keep the screen on: set the screen to stay on, and the charger in. With the screen dark there is no alarm from this phone.',
    };
  }
  if (wake === 'unsupported') {
    return { ok: false, text: 'This browser cannot keep the screen on: set the screen to stay on yourself.' };
  }
  return { ok: false, text: 'The screen may go dark: touch “Keep screen on”.' };
}

/** Whether this phone can alarm now, and each reason, for and against. */
export function readinessOf(facts: PhoneFacts): Readiness {
  const audio = AUDIO_LINES[facts.audio];
  const visible = facts.visible
    ? { ok: true, text: 'This page is in view.' }
    : { ok: false, text: 'This page is not in view.' };
  const connected = facts.connected
    ? { ok: true, text: 'Connected to the controller.' }
    : { ok: false, text: 'Not connected: alarms of the controller do not reach this phone.' };
  const wake = wakeLine(facts);
  const canAlarm = audio.ok && visible.ok && connected.ok;
  const whileLit = wake.ok ? '' : ', while its screen is on';
  return {
    canAlarm,
    headline: canAlarm ? `This phone can alarm now${whileLit}` : 'This phone cannot alarm now',
    lines: [audio, connected, visible, wake],
  };
}

import type { Priority } from '../../../shared/wire/alarm.ts';
import { BURSTS, type Pulse } from './pattern.ts';
import type { AudioState } from './readiness.ts';

/** The phone's loudspeaker. Sound is locked until a touch calls `unlock`. */
export class Player {
  private context: AudioContext | null = null;
  private lastBurstMs: Partial<Record<Priority, number>> = {};
  private readonly onChange: () => void;

  constructor(onChange: () => void) {
    this.onChange = onChange;
  }

  get state(): AudioState {
    if (typeof AudioContext === 'undefined') return 'unsupported';
    if (!this.context) return 'locked';
    return this.context.state === 'running' ? 'running' : 'interrupted';
  }

  /** Must be called from within a touch or key press, which is what a browser asks before it lets a page sound. */
  async unlock(): Promise<void> {
    if (typeof AudioContext === 'undefined') return;
    if (!this.context) {
      this.context = new AudioContext();
      this.context.onstatechange = () => this.onChange();
    }
    if (this.context.state !== 'running') await this.context.resume().catch(() => undefined);
    this.onChange();
  }

  /** Unlocks and makes the sound of a high alarm once, so that a person can judge whether they would hear it. */
  async prove(): Promise<void> {
    await this.unlock();
    this.play('high');
  }

  /** Sounds the burst of that priority unless the last one of it is too recent. */
  sound(priority: Priority, nowMs: number): void {
    const last = this.lastBurstMs[priority];
    if (last !== undefined && nowMs - last < BURSTS[priority].everyS * 1000) return;
    this.lastBurstMs[priority] = nowMs;
    this.play(priority);
  }

  /** Nothing is due: the next alarm sounds at once. */
  rest(): void {
    this.lastBurstMs = {};
  }

  private play(priority: Priority): void {
    const context = this.context;
    if (context?.state !== 'running') return;
    for (const pulse of BURSTS[priority].pulses) pulseOn(context, pulse);
  }
}

/** One pulse with soft edges and three partials, so that it carries on a phone's small loudspeaker. */
function pulseOn(context: AudioContext, pulse: Pulse): void {
  const start = context.currentTime + 0.02 + pulse.atS;
  const end = start + pulse.lengthS;
  const gain = context.createGain();
  gain.gain.setValueAtTime(0, start);
  gain.gain.linearRampToValueAtTime(0.3, start + 0.02);
  gain.gain.setValueAtTime(0.3, end - 0.03);
  gain.gain.linearRampToValueAtTime(0, end);
  gain.connect(context.destination);
  for (const multiple of [1, 2, 3]) {
    const oscillator = context.createOscillator();
    oscillator.frequency.value = pulse.hertz * multiple;
    oscillator.connect(gain);
    oscillator.start(start);
    oscillator.stop(end);
  }
}

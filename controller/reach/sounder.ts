import type { Priority } from '../../shared/wire/alarm.ts';

/** What makes a noise in the kitchen: sounds a priority, or nothing. */
export type Sound = (level: Priority | null) => void | Promise<void>;

/** A level is told again this often: whatever makes the noise may have been replaced or restarted since. */
const TELL_AGAIN_MS = 30_000;
/** After a failure sooner. */
const TRY_AGAIN_MS = 5000;
/** How long a test sounds. */
export const TEST_SOUND_MS = 3000;

/** Keeps the rig's sounder at the level that is wanted, without waiting for it. */
export class Sounder {
  private readonly sound: Sound;
  /** Hears of each try: null where it worked. */
  private readonly tell: (why: string | null) => void;
  private told: { readonly level: Priority | null; readonly atMs: number } | null = null;
  private testUntilMs = 0;
  private busy = false;
  private failing = false;

  constructor(sound: Sound, tell: (why: string | null) => void) {
    this.sound = sound;
    this.tell = tell;
  }

  /** Sounds for a moment although nothing rings. `clockMs` only runs forward. */
  test(clockMs: number): void {
    this.testUntilMs = clockMs + TEST_SOUND_MS;
  }

  /** Whether somebody tries it at this moment. */
  isTried(clockMs: number): boolean {
    return clockMs < this.testUntilMs;
  }

  /** Wants a level. */
  want(level: Priority | null, clockMs: number): void {
    const wanted = level ?? (this.isTried(clockMs) ? 'low' : null);
    const againMs = this.failing ? TRY_AGAIN_MS : TELL_AGAIN_MS;
    const isNew = this.told === null || this.told.level !== wanted || clockMs - this.told.atMs >= againMs;
    if (this.busy || !isNew) return;
    this.told = { level: wanted, atMs: clockMs };
    this.busy = true;
    void this.make(wanted);
  }

  private async make(level: Priority | null): Promise<void> {
    try {
      await this.sound(level);
      this.failing = false;
      this.tell(null);
    } catch {
      this.failing = true;
      this.tell('does not sound');
    }
    this.busy = false;
  }
}

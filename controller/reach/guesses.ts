/** Wrong codes a minute, from everybody together. At that rate 40 bits outlast any test many times over. */
export const WRONG_PER_MINUTE = 10;

/** Counts wrong codes, so that nobody can try them all. */
export class Guesses {
  private wrong: number[] = [];

  /** Whether another code may be tried now. `clockMs` only runs forward. */
  allowed(clockMs: number): boolean {
    this.wrong = this.wrong.filter((atMs) => clockMs - atMs < 60_000);
    return this.wrong.length < WRONG_PER_MINUTE;
  }

  noteWrong(clockMs: number): void {
    this.wrong.push(clockMs);
  }
}

/** A plan that cannot be asked for: each line says what was wrong, what was expected and how to mend it. */
export class PlanFault extends Error {
  readonly faults: readonly string[];
  constructor(faults: readonly string[]) {
    super(faults.join('\n'));
    this.name = 'PlanFault';
    this.faults = faults;
  }
}

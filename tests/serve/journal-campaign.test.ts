import { describe, expect, it } from 'vitest';
import { killMany, tearMany } from './campaign-journal.ts';
import { newTally } from './campaign-journal-tally.ts';

describe('the campaign against the log, in small', () => {
  it('loses no acknowledged row to 25 kill -9 of the journal process under load', async () => {
    const tally = newTally();
    await killMany(25, 1, tally);
    expect(tally).toMatchObject({ kills: 25, lost: 0, wrong: 0, faults: [] });
    expect(tally.acknowledged).toBeGreaterThan(25);
  }, 300_000);

  it('gives every row, or an error, or names the row, for 20 torn, cut or flipped files; no row is wrong in silence', async () => {
    const tally = newTally();
    await tearMany(20, 1, tally);
    expect(tally).toMatchObject({ torn: 20, lost: 0, wrong: 0, faults: [] });
    expect([...tally.outcomes.keys()].join()).toMatch(/set aside/);
  }, 300_000);
});

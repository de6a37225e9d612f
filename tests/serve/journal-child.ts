import { writeSync } from 'node:fs';
import { openJournal } from '../../controller/journal/journal.ts';
import { endlessTick, options } from './journal-fixture.ts';

/**
 * A controller that does nothing but write ticks as fast as the disk takes them, and says on its standard
 * output what was acknowledged, line by line. It goes on until it is killed.
 */
const [folder = '', bootId = ''] = process.argv.slice(2);
const journal = await openJournal(options(folder, { bootId, commitEveryMs: 5 }));
let sequence = journal.report.lastSequence;
let acknowledged = sequence;
if (journal.report.note !== null) writeSync(1, `failed ${journal.report.note}\n`);
writeSync(1, `open ${sequence}\n`);
journal.onCommitted(({ throughSequence }) => {
  acknowledged = throughSequence;
  writeSync(1, `acknowledged ${throughSequence}\n`);
});
journal.onFailure((error) => writeSync(1, `failed ${error.detail}\n`));
setInterval(() => {
  for (let n = 0; n < 40 && sequence - acknowledged < 300; n += 1) {
    sequence += 1;
    journal.write(endlessTick(sequence));
    if (sequence % 600 === 0) journal.snapshot(sequence, JSON.stringify({ sequence }));
  }
}, 1);

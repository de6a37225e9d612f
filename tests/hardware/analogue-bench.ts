import { vi } from 'vitest';
import { ForeignReader } from '../../controller/rig/usb/foreign.ts';
import { BoardLink } from '../../controller/rig/usb/link.ts';
import type { ProbeView } from '../../controller/rig/usb/view.ts';
import { type AnalogueProbe, analogueProbeSchema } from '../../shared/wire/analogue.ts';
import { PlainBoard, type PlainOptions } from './plain-board.ts';
import { WANTED } from './rig-bench.ts';

/** A plain board read by johnny-five and Firmata in this process, on a clock that the test moves. */
export interface AnalogueBench {
  readonly board: PlainBoard;
  readonly link: BoardLink;
  /** Lets so much time pass. */
  run(ms: number): Promise<void>;
  probe(name: string): ProbeView;
  close(): void;
}

/** A figure of a configuration as a person would write it. */
export const probe = (raw: object): AnalogueProbe => analogueProbeSchema.parse(raw);

/** Greets the board and begins to read. Needs `vi.useFakeTimers()`; limits are wanted, so that heat could be asked for. */
export async function analogueBench(
  analogue: readonly AnalogueProbe[],
  options: PlainOptions,
): Promise<AnalogueBench> {
  const board = new PlainBoard(options);
  const nowMs = () => performance.now();
  const link = new BoardLink({ transport: board.port, nowMs, wanted: WANTED, analogue });
  link.start();
  const run = async (ms: number): Promise<void> => {
    for (let left = ms; left > 0; left -= 50) {
      await vi.advanceTimersByTimeAsync(Math.min(50, left));
      link.poll();
    }
  };
  for (let i = 0; i < 100 && link.view().phase === 'greeting'; i++) await run(50);
  const parts = link.reader();
  if (link.view().phase !== 'reading' || parts === null) throw new Error(JSON.stringify(link.view()));
  const reader = new ForeignReader({ ...parts, nowMs, onChange: () => undefined });
  reader.start();
  return {
    board,
    link,
    run,
    probe(name) {
      const found = link.view().probes.find((one) => one.rom === name);
      if (!found) throw new Error(`no ${name} among ${JSON.stringify(link.view().probes)}`);
      return found;
    },
    close() {
      reader.stop();
      link.close();
      board.close();
    },
  };
}

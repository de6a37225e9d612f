import type { RigConfig } from '../../../shared/wire/config.ts';
import { applyCalibration } from '../../rig/calibrate/apply.ts';
import { judgeCalibration } from '../../rig/calibrate/judge.ts';
import { partOf } from '../../rig/calibrate/part.ts';
import { blockWords, faultWords, latchWords } from '../../rig/usb/board-words.ts';
import { namedProbes } from '../../rig/usb/roles.ts';
import type { AnalogueView, BoardView, ProbeView, Wanted } from '../../rig/usb/view.ts';
import type { PortLine } from './ports.ts';

/** What `bathkeeper rig` shows, as one document. */
export interface RigReport {
  readonly ports: readonly PortLine[];
  readonly board: {
    readonly port: string;
    readonly name: string | null;
    readonly firmware: string | null;
    readonly guardFitted: boolean | null;
    readonly waterPresent: boolean | null;
    readonly latched: string | null;
    readonly blocks: string | null;
    readonly fault: string | null;
  } | null;
  readonly probes: readonly {
    readonly rom: string;
    readonly role: string | null;
    readonly celsius: number | null;
    readonly why: string | null;
    readonly probeErrorC: number;
    readonly flags: readonly string[];
    /** Of an analogue probe: its kind, mean code, and what one step of the converter is worth there, K. */
    readonly analogue: Pick<AnalogueView, 'kind' | 'code' | 'stepK'> | null;
  }[];
  readonly limits: Wanted | null;
}

/** True of every board that is only looked at: nobody told it its limits, and so its bath probe. */
const ONLY_LOOKED_AT = ['noSession', 'probeStale'] as const;

/** Puts together what was seen. */
export function reportOf(
  ports: readonly PortLine[],
  port: string | null,
  view: BoardView | null,
  rig: RigConfig,
  wanted: Wanted | null,
): RigReport {
  const status = view?.status ?? null;
  return {
    ports,
    board:
      port === null
        ? null
        : {
            port,
            name: view?.boardName ?? null,
            firmware: status?.firmware ?? null,
            guardFitted: status?.guardFitted ?? null,
            waterPresent: status?.waterPresent ?? null,
            latched:
              status && status.latchedCause !== 0
                ? latchWords(status.latchedCause, status.latchedDetail)
                : null,
            blocks: status ? blockWords(status.blocks, ONLY_LOOKED_AT) || null : null,
            fault: view?.fault ? faultWords(view.fault) : null,
          },
    probes: (view?.probes ?? []).map((probe) => probeLine(probe, rig)),
    limits: wanted,
  };
}

function probeLine({ rom, celsius, why, analogue }: ProbeView, rig: RigConfig): RigReport['probes'][number] {
  const calibration = rig.calibrations.find((one) => one.rom === rom) ?? null;
  const judged = judgeCalibration(calibration, Date.now(), partOf(rig, rom));
  const doubt = analogue?.doubt ?? null;
  return {
    rom,
    role: namedProbes(rig).find((one) => one.rom === rom)?.role ?? null,
    celsius: celsius === null ? null : applyCalibration(calibration, celsius),
    why,
    probeErrorC: judged.probeErrorC,
    flags: [...(doubt === null ? [] : [doubt]), ...judged.flags.map((flag) => flag.text)],
    analogue: analogue ? { kind: analogue.kind, code: analogue.code, stepK: analogue.stepK } : null,
  };
}

/** Kind, code and the worth of one step, to follow a reading; empty of a DS18B20. */
function stepWords(analogue: RigReport['probes'][number]['analogue']): string {
  if (analogue === null) return '';
  const { kind, code, stepK } = analogue;
  const at = code === null ? '' : `, code ${code.toFixed(1)}`;
  const step = stepK === null ? '' : `, one step is ${stepK.toFixed(2)} K`;
  return `  (${KIND_WORDS[kind]}${at}${step})`;
}

const KIND_WORDS: Readonly<Record<AnalogueView['kind'], string>> = {
  ntc: 'NTC',
  pt100: 'platinum',
  typeK: 'type K',
  typeT: 'type T',
};

/** The report for people. */
export function reportText({ ports, board, probes, limits }: RigReport): string {
  const lines = ['Ports:', ...ports.map(({ path, about }) => `  ${path}  ${about}`)];
  if (ports.length === 0) lines.push('  none. Plug in the board; a charging-only cable shows no port.');
  if (board) {
    const guard =
      board.guardFitted === null
        ? ''
        : board.guardFitted
          ? ', two switches'
          : ', one switch (attended use only)';
    lines.push(`Board on ${board.port}: ${board.name ?? 'silent'} ${board.firmware ?? ''}${guard}`);
    for (const words of [
      board.fault,
      board.latched && `Cut latched: ${board.latched}`,
      board.blocks && `No heat now: ${board.blocks}`,
    ]) {
      if (words) lines.push(`  ${words}`);
    }
    lines.push('Probes:');
    if (probes.length === 0) lines.push('  none answers: check plugs, the three wires and the 4k7 resistor.');
  }
  for (const { rom, role, celsius, why, probeErrorC, flags, analogue } of probes) {
    const read =
      celsius === null
        ? (why ?? 'no reading')
        : `${celsius.toFixed(2)} °C, give or take ${probeErrorC.toFixed(2)}`;
    lines.push(
      `  ${rom}  ${role ?? 'no role'}  ${read}${stepWords(analogue)}`,
      ...flags.map((flag) => `    ${flag}`),
    );
  }
  if (probes.length > 0 && !probes.some(({ role }) => role === 'bath')) {
    lines.push('  No probe is the bath probe yet: bathkeeper rig --role ROM=bath --port PATH');
  }
  if (limits) {
    lines.push(
      `Limits for the board: ${(limits.maxCode / 16).toFixed(2)} °C as its probe reads, ${limits.maxHeatS} s of heat, ${limits.silenceMs} ms of silence.`,
    );
  }
  return `${lines.join('\n')}\n`;
}

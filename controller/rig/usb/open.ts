import type { Config } from '../../../shared/wire/config.ts';
import { BathkeeperError } from '../../../shared/wire/errors.ts';
import { BoardRig } from './board-rig.ts';
import { namedProbes } from './roles.ts';
import { SupervisedBoard } from './supervisor.ts';
import { wantedFrom } from './wanted.ts';

export interface UsbOptions {
  readonly config: Config;
  readonly log: (line: string) => void;
}

/** What the configuration lacks for a board on USB, or null. */
export function unsetFault({ rig }: Pick<Config, 'rig'>): BathkeeperError | null {
  if (rig.port === null) return new BathkeeperError('rig-not-set', 'rig.port is missing in bathkeeper.json.');
  if (namedProbes(rig).some((probe) => probe.role === 'bath')) return null;
  return new BathkeeperError('rig-not-set', 'No probe has the role bath in bathkeeper.json.');
}

/**
 * The board on the USB cable as the configuration names it. Does not wait for it: until it speaks, the link is down.
 * Where the bath probe is on an analogue pin the board is told no limits, so that it can never be asked for heat.
 * @throws BathkeeperError('rig-not-set') without a port or a bath probe
 */
export function openUsb({ config, log }: UsbOptions): BoardRig {
  const { port, probes, analogue } = config.rig;
  const bath = probes.find((probe) => probe.role === 'bath');
  const unset = unsetFault(config);
  if (unset !== null || port === null) throw unset ?? new BathkeeperError('rig-not-set');
  for (const line of analogueNotes(config.rig)) log(line);
  const board = new SupervisedBoard({
    path: port,
    wanted: bath ? wantedFrom(config, bath.rom) : null,
    analogue,
    nowMs: () => performance.now(),
    log,
  });
  return new BoardRig({
    kind: 'usb',
    text: bath ? `the board on ${port}.` : `the board on ${port}, to read only: it never heats.`,
    port: board,
    config: config.rig,
    hands: null,
  });
}

/** What a person must know of analogue probes before anything is read; nothing where there are none. */
function analogueNotes({ analogue }: Pick<Config['rig'], 'analogue'>): string[] {
  if (analogue.length === 0) return [];
  const names = analogue.map(({ name }) => name).join(', ');
  const heat = analogue.some(({ role }) => role === 'bath')
    ? 'The bath probe is one of them, so nothing is heated here.'
    : 'A board with our firmware heats by its DS18B20 and leaves them unread.';
  return [
    `Analogue probes (${names}) are read only through a board without our firmware, and such a board is never heated with. ${heat}`,
  ];
}

import type { Config } from '../../../shared/wire/config.ts';
import { BathkeeperError } from '../../../shared/wire/errors.ts';
import { BoardRig } from './board-rig.ts';
import { SupervisedBoard } from './supervisor.ts';
import { wantedFrom } from './wanted.ts';

export interface UsbOptions {
  readonly config: Config;
  readonly log: (line: string) => void;
}

/** What the configuration lacks for a board on USB, or null. */
export function unsetFault({ rig }: Pick<Config, 'rig'>): BathkeeperError | null {
  if (rig.port === null) return new BathkeeperError('rig-not-set', 'rig.port is missing in bathkeeper.json.');
  if (rig.probes.some((probe) => probe.role === 'bath')) return null;
  return new BathkeeperError('rig-not-set', 'No probe has the role bath in bathkeeper.json.');
}

/**
 * The board on the USB cable as the configuration names it. Does not wait for it: until it speaks, the link is down.
 * @throws BathkeeperError('rig-not-set') without a port or a bath probe
 */
export function openUsb({ config, log }: UsbOptions): BoardRig {
  const { port, probes } = config.rig;
  const bath = probes.find((probe) => probe.role === 'bath');
  const unset = unsetFault(config);
  if (unset !== null || port === null || !bath) throw unset ?? new BathkeeperError('rig-not-set');
  const board = new SupervisedBoard({
    path: port,
    wanted: wantedFrom(config, bath.rom),
    nowMs: () => performance.now(),
    log,
  });
  return new BoardRig({
    kind: 'usb',
    text: `the board on ${port}.`,
    port: board,
    config: config.rig,
    hands: null,
  });
}

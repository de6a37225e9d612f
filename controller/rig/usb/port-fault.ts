import type { RigFault } from './view.ts';

/** Why a serial port could not be opened, in the registry's codes; from what the operating system said. */
export function portFault(path: string, message: string): RigFault {
  const detail = `Port ${path}: ${message}.`.slice(0, 400);
  if (/permission denied|EACCES|access denied/i.test(message)) return { code: 'rig-port-denied', detail };
  if (/busy|lock|temporarily unavailable|EBUSY|EAGAIN/i.test(message))
    return { code: 'rig-port-busy', detail };
  return { code: 'rig-port-missing', detail };
}

import { hostname, networkInterfaces } from 'node:os';

/** Every name and address by which this machine may be called on its network, as they are at this moment. */
export function machineNames(): string[] {
  const name = hostname().toLowerCase();
  const short = name.split('.')[0] ?? name;
  const addresses = Object.values(networkInterfaces()).flatMap((list) =>
    (list ?? []).map((one) => one.address),
  );
  return [name, short, `${short}.local`, ...addresses];
}

import { type LookupAddress, lookup } from 'node:dns';
import { BlockList, isIPv6, type LookupFunction } from 'node:net';

/** Addresses that are of no public server: IANA special-purpose address registries (RFC 6890), multicast (RFC 5771, 4291). */
const NOT_PUBLIC: readonly (readonly [net: string, prefix: number])[] = [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['224.0.0.0', 3],
  ['::', 127],
  ['64:ff9b:1::', 48],
  ['fc00::', 7],
  ['fe80::', 10],
  ['ff00::', 8],
];

const blocked = new BlockList();
for (const [net, prefix] of NOT_PUBLIC) blocked.addSubnet(net, prefix, isIPv6(net) ? 'ipv6' : 'ipv4');

/** Whether an address may belong to a public server. An IPv4 address within IPv6 counts as what it is. */
export function isPublicAddress(address: string): boolean {
  return !blocked.check(address, isIPv6(address) ? 'ipv6' : 'ipv4');
}

/** Resolves a name to the addresses that may be called; one that has none fails before anything is sent. */
export function lookupOf(mayCall: (address: string) => boolean): LookupFunction {
  return (host, options, callback) => {
    lookup(host, { ...options, all: true }, (error, addresses: LookupAddress[]) => {
      const [first, ...more] = error ? [] : addresses.filter(({ address }) => mayCall(address));
      if (error) callback(error, '');
      else if (!first) callback(Object.assign(new Error('no public address'), { code: 'ENOTPUBLIC' }), '');
      else if (options.all) callback(null, [first, ...more]);
      else callback(null, first.address, first.family);
    });
  };
}

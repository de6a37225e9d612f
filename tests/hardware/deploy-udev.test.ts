import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { need } from '../need.mjs';

const rules = readFileSync('hardware/deploy/70-bathkeeper.rules', 'utf8');

/** A USB-to-serial adapter as the kernel would show it, for umockdev. */
const adapter = (vendor: string, product: string, serial: string | null) => `
P: /devices/pci0000:00/0000:00:14.0
E: SUBSYSTEM=pci

P: /devices/pci0000:00/0000:00:14.0/usb1
N: bus/usb/001/001
E: DEVTYPE=usb_device
E: SUBSYSTEM=usb
A: idVendor=1d6b
A: idProduct=0002

P: /devices/pci0000:00/0000:00:14.0/usb1/1-2
N: bus/usb/001/004
E: DEVTYPE=usb_device
E: SUBSYSTEM=usb
A: idVendor=${vendor}
A: idProduct=${product}
A: bDeviceClass=ff
A: product=Serial
A: bcdDevice=0264
${serial === null ? '' : `A: serial=${serial}\n`}
P: /devices/pci0000:00/0000:00:14.0/usb1/1-2/1-2:1.0
E: DEVTYPE=usb_interface
E: SUBSYSTEM=usb
A: bInterfaceNumber=00
A: bInterfaceClass=ff

P: /devices/pci0000:00/0000:00:14.0/usb1/1-2/1-2:1.0/ttyUSB0
E: SUBSYSTEM=usb-serial

P: /devices/pci0000:00/0000:00:14.0/usb1/1-2/1-2:1.0/ttyUSB0/tty/ttyUSB0
N: ttyUSB0
E: SUBSYSTEM=tty
E: DEVNAME=/dev/ttyUSB0
E: MAJOR=188
E: MINOR=0
A: dev=188:0
`;

/** A world of its own for udev: empty /run and /dev, the rule in place, and the group known. Nothing outside changes. */
const STAGE = `
set -e
cp /etc/group "$1/group"; grep -q '^bathkeeper:' "$1/group" || echo 'bathkeeper:x:4242:' >> "$1/group"
mount --bind "$1/group" /etc/group
mkdir -p "$1/dev"; mount -t tmpfs none "$1/dev"
for node in null zero urandom random full tty; do touch "$1/dev/$node"; mount --bind "/dev/$node" "$1/dev/$node"; done
ln -s pts/ptmx "$1/dev/ptmx"; mkdir "$1/dev/pts"; mount --rbind /dev/pts "$1/dev/pts"
mount --rbind "$1/dev" /dev
mount -t tmpfs none /run
mkdir -p /run/udev/rules.d; cp "$1/70-bathkeeper.rules" /run/udev/rules.d/
exec umockdev-run --device "$1/board.umockdev" -- udevadm test --action="$2" \
  /sys/devices/pci0000:00/0000:00:14.0/usb1/1-2/1-2:1.0/ttyUSB0/tty/ttyUSB0 2>&1
`;

describe('the udev rule', () => {
  const scratch = mkdtempSync(join(tmpdir(), 'bathkeeper-udev-'));
  beforeAll(async () => {
    await need('udev', 'udevadm');
    await need('umockdev', 'umockdev-run');
  });
  afterAll(() => rmSync(scratch, { recursive: true }));

  function plug(text: string, device: string, action = 'add'): string {
    writeFileSync(join(scratch, '70-bathkeeper.rules'), text);
    writeFileSync(join(scratch, 'board.umockdev'), device.trimStart());
    const apart = process.getuid?.() === 0 ? ['-m'] : ['-rm'];
    const done = spawnSync('unshare', [...apart, 'sh', '-c', STAGE, 'sh', scratch, action], {
      encoding: 'utf8',
    });
    // Its exit code tells of the node that a simulated device does not have; that the rules were run is in its words.
    expect(`${done.stdout}${done.stderr}`).toContain('USEC_INITIALIZED=');
    return done.stdout;
  }
  const named = (log: string) => /^DEVLINKS=.*\/dev\/bathkeeper-board\b/m.test(log);

  for (const [vendor, product] of [
    ['2341', '0043'],
    ['2a03', '0043'],
    ['1a86', '7523'],
    ['0403', '6001'],
    ['10c4', 'ea60'],
  ] as const) {
    it(`names a board with the adapter ${vendor}:${product} and gives it to the user bathkeeper alone`, () => {
      const log = plug(rules, adapter(vendor, product, null));
      expect(named(log)).toBe(true);
      expect(log).toMatch(/70-bathkeeper\.rules:\d+ GROUP (?!4294967295)\d+$/m);
      expect(log).not.toContain('Unknown group');
      expect(log).toMatch(/70-bathkeeper\.rules:\d+ MODE 0660$/m);
      expect(log).toMatch(/^ID_MM_DEVICE_IGNORE=1$/m);
    });
  }

  it('leaves any other serial adapter alone', () => {
    const log = plug(rules, adapter('067b', '2303', null));
    expect(named(log)).toBe(false);
    expect(log).not.toMatch(/70-bathkeeper\.rules:\d+ (GROUP|MODE|LINK)/);
  });

  it('tells two adapters of one kind apart by serial number, once its line is filled in', () => {
    const tied = rules.replace('#ENV{ID_SERIAL_SHORT}!="0123456789"', 'ENV{ID_SERIAL_SHORT}!="HUT7"');
    expect(tied).not.toBe(rules);
    expect(named(plug(tied, adapter('0403', '6001', 'HUT7')))).toBe(true);
    expect(named(plug(tied, adapter('0403', '6001', 'OTHER')))).toBe(false);
    expect(named(plug(tied, adapter('0403', '6001', null)))).toBe(false);
  });

  it('tells two adapters of one kind apart by their socket, once its line is filled in', () => {
    const path = /^ID_PATH=(.*)$/m.exec(plug(rules, adapter('1a86', '7523', null)))?.[1];
    expect(path).toBeTruthy();
    const tied = (socket: string) =>
      rules.replace('#ENV{ID_PATH}!="platform-usb-0:1.2:1.0"', `ENV{ID_PATH}!="${socket}"`);
    expect(named(plug(tied(path!), adapter('1a86', '7523', null)))).toBe(true);
    expect(named(plug(tied('pci-0000:00:14.0-usb-0:9:1.0'), adapter('1a86', '7523', null)))).toBe(false);
  });
});

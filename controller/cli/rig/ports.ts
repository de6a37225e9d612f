import { readdirSync } from 'node:fs';
import { SerialPort } from 'serialport';

/** A serial port, and what is known of what hangs on it. */
export interface PortLine {
  readonly path: string;
  readonly about: string;
}

/** Names of USB serial ports under /dev on Linux and macOS. */
const USB_PORT = /^(ttyACM|ttyUSB|cu\.usb|tty\.usb)/;

/** Serial ports of this machine, USB first. Where the list cannot be had (no udevadm), the names under /dev. */
export async function listPorts(): Promise<PortLine[]> {
  try {
    const found = await SerialPort.list();
    const lines = found.map(({ path, manufacturer, vendorId, productId }) => {
      const id = vendorId && productId ? ` ${vendorId}:${productId}` : '';
      return { path, about: `${manufacturer ?? 'unknown maker'}${id}`, usb: vendorId !== undefined };
    });
    return lines.sort((a, b) => Number(b.usb) - Number(a.usb)).map(({ path, about }) => ({ path, about }));
  } catch {
    return namesUnderDev();
  }
}

function namesUnderDev(): PortLine[] {
  try {
    return readdirSync('/dev')
      .filter((name) => USB_PORT.test(name))
      .map((name) => ({ path: `/dev/${name}`, about: 'by its name; install udev for more' }));
  } catch {
    return [];
  }
}

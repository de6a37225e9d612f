import { EventEmitter } from 'node:events';
import type { Duplex } from 'node:stream';
import { type AnalogueSample, NEW_SCREEN, screenBytes } from './screen.ts';

/**
 * The port as firmata-io gets it: whole, known messages in, everything out. Our own frames go to `onOurs`. An error of
 * the port or of a handler is told to `onError` and goes no further; thrown inside a port's event nobody could catch it.
 */
export class ScreenedPort extends EventEmitter {
  private readonly port: Duplex;
  private screen = NEW_SCREEN;
  private onSample: (sample: AnalogueSample) => void = () => undefined;
  private readonly onData = (bytes: Uint8Array): void => this.take(bytes);
  private readonly onOurs: (frame: number[]) => void;
  private readonly onError: (error: Error) => void;

  constructor(port: Duplex, onOurs: (frame: number[]) => void, onError: (error: Error) => void) {
    super();
    this.port = port;
    this.onOurs = onOurs;
    this.onError = onError;
    port.on('data', this.onData);
    port.on('error', onError);
    port.on('close', () => onError(new Error('the port has closed')));
  }

  write(bytes: Uint8Array, done?: () => void): boolean {
    return this.port.write(bytes, () => done?.());
  }

  /** From now on the values of these analogue channels are let through, to `onSample`. */
  hearChannels(channels: readonly number[], onSample: (sample: AnalogueSample) => void): void {
    this.screen = { ...this.screen, channels };
    this.onSample = onSample;
  }

  /** Bytes are looked at no more. */
  detach(): void {
    this.port.off('data', this.onData);
    this.removeAllListeners();
  }

  private take(bytes: Uint8Array): void {
    const { screen, ours, firmata, analogue } = screenBytes(this.screen, bytes);
    this.screen = screen;
    for (const frame of ours) this.guarded(() => this.onOurs(frame));
    for (const sample of analogue) this.guarded(() => this.onSample(sample));
    for (const message of firmata) this.guarded(() => this.emit('data', Buffer.from(message)));
  }

  private guarded(work: () => void): void {
    try {
      work();
    } catch (error) {
      this.onError(error as Error);
    }
  }
}

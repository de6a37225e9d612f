import type { MqttConfig } from '../../shared/wire/reach.ts';
import type { Status } from '../../shared/wire/status.ts';
import type { MqttLink } from './edge/mqtt.ts';
import { readingsOf } from './edge/telemetry.ts';

/** Hands the readings of the bath to the broker at the interval of the configuration; does nothing without one. */
export class ReadingsOut {
  private readonly link: Pick<MqttLink, 'publish'> | null;
  private readonly config: MqttConfig | null;
  private lastMs = Number.NEGATIVE_INFINITY;

  constructor(link: Pick<MqttLink, 'publish'> | null, config: MqttConfig | null) {
    this.link = link;
    this.config = config;
  }

  /** Publishes where the interval has gone by. `clockMs` only runs forward. */
  publish(status: Status, clockMs: number): void {
    const { link, config, lastMs } = this;
    if (!link || !config || clockMs - lastMs < config.telemetryEveryS * 1000) return;
    this.lastMs = clockMs;
    link.publish(readingsOf(status, config.expireS));
  }
}

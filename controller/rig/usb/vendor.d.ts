/** What this project uses of two libraries that bring no types of their own. */
declare module 'firmata-io' {
  import type { EventEmitter } from 'node:events';

  export interface FirmataBoard extends EventEmitter {
    isReady: boolean;
    buffer: number[];
    firmware: { name?: string; version?: { major: number; minor: number } };
    /** Every pin of the board in order; 127 where it has no analogue channel. Of channels none before their mapping has come. */
    pins: { analogChannel?: number }[];
    /** Highest code of the converter, as the board's capabilities say. */
    RESOLUTION: { ADC: number | null };
    setSamplingInterval(ms: number): void;
    sendOneWireConfig(pin: number, power: boolean): void;
    sendOneWireSearch(pin: number, callback: (error: Error | null, devices: number[][]) => void): void;
    sendOneWireReset(pin: number): void;
    sendOneWireWrite(pin: number, device: number[], data: number | number[]): void;
    sendOneWireWriteAndRead(
      pin: number,
      device: number[],
      data: number | number[],
      count: number,
      callback: (error: Error | null, data: number[]) => void,
    ): void;
  }
  interface FirmataModule {
    Firmata: new (transport: object, options: { reportVersionTimeout: number }) => FirmataBoard;
  }
  const firmata: FirmataModule;
  export default firmata;
}

declare module 'johnny-five' {
  import type { EventEmitter } from 'node:events';
  import type { FirmataBoard } from 'firmata-io';

  interface FiveBoard extends EventEmitter {
    isReady: boolean;
  }
  interface FiveThermometer extends EventEmitter {
    readonly celsius: number | null;
  }
  interface ThermometerController {
    initialize: { value(options: object, give: (raw: number) => void): void };
    toCelsius: { value(raw: number): number };
  }
  const five: {
    Board: new (options: { io: FirmataBoard; repl: false; debug: false; sigint: false }) => FiveBoard;
    Thermometer: new (options: {
      board: FiveBoard;
      controller: ThermometerController;
      enabled: boolean;
    }) => FiveThermometer;
  };
  export default five;
}

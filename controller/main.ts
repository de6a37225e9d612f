import { randomUUID } from 'node:crypto';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { hutSpec } from '../shared/bath/plant.ts';
import type { Config } from '../shared/wire/config.ts';
import type { Installation } from '../shared/wire/status.ts';
import { type Clock, type DemoClock, demoClock, systemClock } from './clock.ts';
import { type Engine, makeEngine } from './engine.ts';
import { JOURNAL_FILE } from './journal/journal.ts';
import { openJournal } from './journal/open.ts';
import { openReader } from './journal/open-reader.ts';
import type { JournalReader } from './journal/reader.ts';
import { startLoop } from './loop.ts';
import { resumeState } from './resume.ts';
import { type SimulatedRig, simulatedRig } from './rig/simulated.ts';
import { keepWorld, loadWorld } from './rig/world-file.ts';
import type { Hub } from './serve/hub.ts';
import { startServer } from './serve/server.ts';
import { settingsFrom } from './tick/settings.ts';

/** How to start: all that comes from flags, environment and files, already checked. */
export interface StartOptions {
  readonly config: Config;
  readonly rig: 'simulated';
  /** Demo time runs this many times faster; 1 = real time. */
  readonly speed: number;
  readonly seed: number;
  readonly codeVersion: string;
  /** Folder of the built page. */
  readonly assetsDir: string;
  readonly log: (line: string) => void;
  /** Called with each new pairing code. */
  readonly onPairingCode: (code: string) => void;
}

/** A running controller. */
export interface Controller {
  readonly port: number;
  readonly engine: Engine;
  readonly reader: JournalReader;
  /** Heat off, log flushed, server closed. */
  close(): Promise<void>;
}

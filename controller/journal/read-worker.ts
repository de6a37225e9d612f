import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { codeOf, type Database, type Driver, loadDriver } from './driver.ts';
import { refuseNewer, SCHEMA_NUMBER, schemaOf } from './migrate.ts';
import { Queries } from './queries.ts';
import { serveCalls } from './rpc.ts';

/** How long a read waits while the log is being recovered or checkpointed by its owner, in ms. */
const BUSY_MS = 5000;

let queries: Queries | null = null;

async function open(path: string): Promise<null> {
  if (!existsSync(path)) {
    throw new BathkeeperError(
      'journal-unreadable',
      `(there is no log at ${path}. Give the folder that holds it)`,
    );
  }
  const driver = await loadDriver();
  const { db, schema } = openAnywhere(driver, path);
  try {
    refuseNewer(db, schema);
    if (schema < SCHEMA_NUMBER) {
      const detail = `(${path} has schema ${schema}, this version reads ${SCHEMA_NUMBER}. Start the controller once: it brings the log up to date)`;
      throw new BathkeeperError('journal-unreadable', detail);
    }
    db.pragma('cache_size = -2000');
    queries = new Queries(db);
    return null;
  } catch (error) {
    db.close();
    throw error;
  }
}

/**
 * Opens a log for reading, also on a disk that can only be read: SQLite needs an index beside a write-ahead log, so
 * there a copy in the folder for temporary files is read.
 */
function openAnywhere(driver: Driver, path: string): { db: Database; schema: number } {
  try {
    return opened(driver, path);
  } catch (error) {
    if (!/SQLITE_CANTOPEN|SQLITE_READONLY/.test(codeOf(error))) throw error;
  }
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-read-'));
  try {
    const copy = join(folder, basename(path));
    for (const part of ['', '-wal']) if (existsSync(path + part)) copyFileSync(path + part, copy + part);
    return opened(driver, copy);
  } finally {
    // Once open it is read on to the end, name or no name.
    rmSync(folder, { recursive: true, force: true });
  }
}

function opened(driver: Driver, path: string): { db: Database; schema: number } {
  const db = new driver(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
  try {
    return { db, schema: schemaOf(db) };
  } catch (error) {
    db.close();
    throw error;
  }
}

const on = (): Queries => {
  if (!queries) throw new Error('the log is not open');
  return queries;
};

serveCalls({
  open,
  resume: (most) => on().resume(most),
  cooks: () => on().cooks(),
  cook: (cookId) => on().cook(cookId),
  events: (call) => on().events(call),
  samples: (call) => on().samples(call),
  inputs: (call) => on().inputs(call),
  inputAt: (sequence) => on().inputAt(sequence),
  configs: (cookId) => on().configs(cookId),
  replayPlan: (call) => on().replayPlan(call),
  recorded: (call) => on().recorded(call),
  links: (call) => on().links(call),
  chainRange: (cookId) => on().chainRange(cookId),
  keptTiers: (call) => on().keptTiers(call),
  tiers: (call) => on().tiers(call),
  lastSequence: () => on().lastSequence(),
});

/**
 * The schema, as numbered steps. A step that was released never changes; what must change is a new
 * step at the end. Rows hold the JSON of their wire schema (packed by codec.ts where there are many),
 * so a new field of a row needs no step; only a change in the meaning of old rows does.
 *
 * Cooks are numbered (`cook`), 0 = outside any cook. Nothing is updated in place but the end of a
 * cook's range: what changes is written again under its sequence, so that every version is kept.
 */
export const MIGRATIONS: readonly { readonly number: number; readonly sql: string }[] = [
  {
    number: 1,
    sql: `
CREATE TABLE meta (
  name TEXT PRIMARY KEY,
  value TEXT NOT NULL
) WITHOUT ROWID;

-- One row a start of the controller.
CREATE TABLE run (
  run INTEGER PRIMARY KEY,
  boot_id TEXT NOT NULL,
  code_version TEXT NOT NULL,
  speed REAL NOT NULL,
  after_sequence INTEGER NOT NULL,
  config_json TEXT NOT NULL
);

-- One row a tick: appended at the right edge, so that a commit writes one or two pages.
CREATE TABLE tick (
  sequence INTEGER PRIMARY KEY,
  cook INTEGER NOT NULL,
  wall_ms REAL NOT NULL,
  input BLOB NOT NULL,
  sample BLOB NOT NULL
);

-- The state after a tick, to resume or replay from.
CREATE TABLE snapshot (
  sequence INTEGER PRIMARY KEY,
  cook INTEGER NOT NULL,
  code_version TEXT NOT NULL,
  state BLOB NOT NULL
);

-- A cook's number and the sequences its ticks lie within; last_sequence is null while they go on.
CREATE TABLE cook (
  cook INTEGER PRIMARY KEY,
  cook_id TEXT NOT NULL UNIQUE,
  first_sequence INTEGER NOT NULL,
  last_sequence INTEGER
);

CREATE TABLE cook_version (
  cook INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  row TEXT NOT NULL,
  PRIMARY KEY (cook, sequence)
) WITHOUT ROWID;

CREATE TABLE bag_version (
  cook INTEGER NOT NULL,
  bag_id TEXT NOT NULL,
  sequence INTEGER NOT NULL,
  row TEXT NOT NULL,
  PRIMARY KEY (cook, bag_id, sequence)
) WITHOUT ROWID;

CREATE TABLE event (
  cook INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  ordinal INTEGER NOT NULL,
  row TEXT NOT NULL,
  PRIMARY KEY (cook, sequence, ordinal)
) WITHOUT ROWID;

CREATE TABLE alarm (
  cook INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  ordinal INTEGER NOT NULL,
  row TEXT NOT NULL,
  PRIMARY KEY (cook, sequence, ordinal)
) WITHOUT ROWID;

CREATE TABLE command (
  cook INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  ordinal INTEGER NOT NULL,
  wall_ms REAL NOT NULL,
  row TEXT NOT NULL,
  PRIMARY KEY (cook, sequence, ordinal)
) WITHOUT ROWID;

-- Complete buckets only. Keyed by sequence: a wall clock set back may pass one bucket twice.
CREATE TABLE tier (
  cook INTEGER NOT NULL,
  width_s INTEGER NOT NULL,
  first_sequence INTEGER NOT NULL,
  last_sequence INTEGER NOT NULL,
  start_ms REAL NOT NULL,
  row BLOB NOT NULL,
  PRIMARY KEY (cook, width_s, first_sequence)
) WITHOUT ROWID;
`,
  },
  {
    number: 2,
    sql: `
-- SHA-256 chain: 32 bytes of link, then 4 bytes of each leaf. In the row of the tick, so that it costs no page of its own.
ALTER TABLE tick ADD COLUMN link BLOB;

-- The last tick on disk when the snapshot was kept: the tick after it seals the snapshot.
ALTER TABLE snapshot ADD COLUMN after_sequence INTEGER;

-- Ticks taken out by the rule of retention. The link of the last one carries the chain across.
CREATE TABLE pruned (
  first_sequence INTEGER PRIMARY KEY,
  last_sequence INTEGER NOT NULL,
  ticks INTEGER NOT NULL,
  pruned_at_ms REAL NOT NULL,
  link BLOB
);

-- Ticks up to this one were recorded before there was a chain.
INSERT INTO meta SELECT 'chain_after', CAST(coalesce(max(sequence), 0) AS TEXT) FROM tick;
`,
  },
];

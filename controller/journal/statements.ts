import type { Database, Statement } from './driver.ts';

const SQL = {
  marked: "INSERT OR IGNORE INTO meta VALUES ('marked', '1')",
  run: 'INSERT INTO run (boot_id, code_version, speed, after_sequence, config_json) VALUES (?, ?, ?, ?, ?)',
  tick: 'INSERT INTO tick VALUES (?, ?, ?, ?, ?, ?)',
  // The state after a tick is what it is: a second attempt brings the same.
  snapshot: 'INSERT OR IGNORE INTO snapshot VALUES (?, ?, ?, ?, ?)',
  newCook: 'INSERT INTO cook (cook_id, first_sequence, last_sequence) VALUES (?, ?, ?)',
  enterCook: 'UPDATE cook SET last_sequence = NULL WHERE cook = ?',
  leaveCook: 'UPDATE cook SET last_sequence = ? WHERE cook = ?',
  cookVersion: 'INSERT INTO cook_version VALUES (?, ?, ?)',
  bagVersion: 'INSERT OR REPLACE INTO bag_version VALUES (?, ?, ?, ?)',
  event: 'INSERT INTO event VALUES (?, ?, ?, ?)',
  alarm: 'INSERT INTO alarm VALUES (?, ?, ?, ?)',
  command: 'INSERT INTO command VALUES (?, ?, ?, ?, ?)',
  tier: 'INSERT INTO tier VALUES (?, ?, ?, ?, ?, ?)',
} as const;

/** These give the first column alone. */
const SQL_VALUE = {
  cookNumber: 'SELECT cook FROM cook WHERE cook_id = ?',
  cookOfTick: 'SELECT cook FROM tick WHERE sequence = ?',
  wallOfTick: 'SELECT wall_ms FROM tick WHERE sequence = ?',
  // The sequence that the tiers of one width cover up to; before the first row, the start of the cook.
  tierEnd: `SELECT coalesce(
    (SELECT max(last_sequence) FROM tier WHERE cook = ? AND width_s = ?),
    (SELECT first_sequence - 1 FROM cook WHERE cook = ?))`,
  samplesAfter: 'SELECT sample FROM tick WHERE sequence > ? AND cook = ? ORDER BY sequence',
} as const;

export type Statements = Record<keyof typeof SQL | keyof typeof SQL_VALUE, Statement>;

/** Every statement of the write side, prepared once. */
export function statements(db: Database): Statements {
  const all = Object.entries(SQL).map(([name, sql]) => [name, db.prepare(sql)]);
  const values = Object.entries(SQL_VALUE).map(([name, sql]) => [name, db.prepare(sql).pluck()]);
  return Object.fromEntries([...all, ...values]) as Statements;
}

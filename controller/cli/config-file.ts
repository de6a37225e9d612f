import { existsSync, readFileSync } from 'node:fs';
import { type Config, type ConfigResult, checkConfig } from '../../shared/wire/config.ts';
import { circuitFaults } from '../rig/analogue/faults.ts';

const USUAL = 'bathkeeper.json';

export type LoadedConfig = { ok: true; config: Config; from: string } | { ok: false; message: string };

/**
 * The configuration: from the path given by flag, else by BATHKEEPER_CONFIG, else bathkeeper.json where it exists,
 * else the defaults. Every fault is listed at once.
 */
export function loadConfig(flag: string | undefined, env: string | undefined): LoadedConfig {
  const path = flag ?? env ?? (existsSync(USUAL) ? USUAL : null);
  if (path === null) return checked({}, 'the defaults');
  let raw: unknown;
  try {
    raw = JSON.parse(readFileSync(path, 'utf8'));
  } catch (error) {
    const why =
      error instanceof SyntaxError
        ? `is not JSON: ${error.message}`
        : `cannot be read: ${(error as Error).message}`;
    return { ok: false, message: `The configuration ${path} ${why}` };
  }
  return checked(raw, path);
}

/** A configuration whole: its form, and whether the circuits of its analogue probes can be. Every fault at once. */
export function checkWhole(raw: unknown): ConfigResult {
  const result = checkConfig(raw);
  const circuits = circuitFaults(raw);
  if (circuits.length === 0) return result;
  return { ok: false, faults: [...(result.ok ? [] : result.faults), ...circuits] };
}

function checked(raw: unknown, from: string): LoadedConfig {
  const result = checkWhole(raw);
  if (result.ok) return { ok: true, config: result.config, from };
  const lines = result.faults.map((fault) => `  - ${fault}`).join('\n');
  return {
    ok: false,
    message: `The configuration ${from} has faults:\n${lines}\nMend them, or remove the file to use the defaults.`,
  };
}

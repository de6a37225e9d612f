import { z } from 'zod';
import { configSchema } from '../../../shared/wire/config.ts';

/** A key of the configuration: where it stands, what it takes in words, and what holds without it. */
export interface ConfigKey {
  /** Path with dots; `[]` stands for each entry of a list. */
  readonly path: string;
  readonly takes: string;
  readonly required: boolean;
  /** What holds where the key is left out; undefined where it must be given. */
  readonly usual: unknown;
}

/** As much of JSON Schema as zod writes of the configuration. */
interface Node {
  readonly type?: string;
  readonly default?: unknown;
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly anyOf?: readonly Node[];
  readonly properties?: Readonly<Record<string, Node>>;
  readonly required?: readonly string[];
  readonly items?: Node;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly maxLength?: number;
  readonly maxItems?: number;
}

/** Lists whose entries are explained in one place and not key by key. */
const WHOLE = new Set(['rig.calibrations', 'rig.analogue']);

/** Every key of the configuration in the order of its schema, from the schema itself. */
export function configKeys(): ConfigKey[] {
  const root = z.toJSONSchema(configSchema, { io: 'input', unrepresentable: 'any' }) as Node;
  const usual = configSchema.parse({});
  // JSON Schema keeps no default of a list that is checked by code of its own.
  return keysBelow('', root).map((key) => ({ ...key, usual: key.usual ?? valueAt(usual, key.path) }));
}

/** What stands at a path of a configuration; undefined within lists, and within sections that are null. */
export function valueAt(config: unknown, path: string): unknown {
  let at = config;
  for (const name of path.split('.')) {
    if (typeof at !== 'object' || at === null) return undefined;
    at = (at as Record<string, unknown>)[name];
  }
  return at;
}

function keysBelow(prefix: string, node: Node): ConfigKey[] {
  return Object.entries(node.properties ?? {}).flatMap(([name, below]) => {
    const path = prefix === '' ? name : `${prefix}.${name}`;
    const section = below.type === 'object' && below.properties !== undefined;
    const own = section
      ? []
      : [
          {
            path,
            takes: takes(below),
            required: node.required?.includes(name) ?? false,
            usual: below.default,
          },
        ];
    return [...own, ...within(path, below)];
  });
}

function within(path: string, node: Node): ConfigKey[] {
  if (WHOLE.has(path)) return [];
  if (node.type === 'array') return node.items ? keysBelow(`${path}[]`, node.items) : [];
  const object = [node, ...(node.anyOf ?? [])].find((one) => one.properties !== undefined);
  return object ? keysBelow(path, object) : [];
}

function takes(node: Node): string {
  if (node.anyOf) return [...new Set(node.anyOf.map(takes))].join(', or ');
  if (node.const !== undefined) return JSON.stringify(node.const);
  if (node.enum) return node.enum.map((one) => JSON.stringify(one)).join(', ');
  switch (node.type) {
    case 'boolean':
      return 'true or false';
    case 'null':
      return 'null';
    case 'integer':
    case 'number':
      return numbers(node);
    case 'array':
      return node.maxItems === undefined ? 'a list' : `a list of at most ${node.maxItems}`;
    case 'string':
      return node.maxLength === undefined ? 'text' : `text of at most ${node.maxLength} characters`;
    default:
      return node.properties ? 'an object' : 'as said';
  }
}

function numbers({ type, minimum, maximum, exclusiveMinimum }: Node): string {
  const what = type === 'integer' ? 'a whole number' : 'a number';
  const most = maximum === undefined ? '' : ` to ${maximum}`;
  if (exclusiveMinimum !== undefined) return `${what} above ${exclusiveMinimum}${most && `, up${most}`}`;
  return minimum === undefined ? `${what}${most}` : `${what}, ${minimum}${most}`;
}

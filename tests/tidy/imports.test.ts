import { dirname, join, normalize } from 'node:path';
import { describe, expect, it } from 'vitest';
import { read, sourceFiles } from './tree.ts';

/** Who may import whom. `shared/units` and `shared/wire` are open to all; `tests` is exempt. */
const MAY: Readonly<Record<string, readonly string[]>> = {
  'shared/units': [],
  'shared/wire': ['shared/units'],
  'shared/water': [],
  'shared/food': ['shared/water'],
  'shared/cure': ['shared/water'],
  'shared/hazard': ['shared/food', 'shared/water'],
  'shared/tender': ['shared/food', 'shared/water'],
  'shared/bag': ['shared/food', 'shared/water'],
  'shared/bath': ['shared/bag', 'shared/food', 'shared/water'],
  'shared/plan': [
    'shared/tender',
    'shared/hazard',
    'shared/cure',
    'shared/bath',
    'shared/bag',
    'shared/food',
  ],
  monitor: ['shared'],
  'controller/tick': ['shared'],
  'controller/rig': ['shared'],
  'controller/reach': ['shared'],
  'controller/journal': ['shared'],
  'controller/serve': ['controller/journal', 'shared'],
  'controller/cli': ['controller', 'shared'],
  controller: [
    'controller/serve',
    'controller/journal',
    'controller/rig',
    'controller/tick',
    'controller/reach',
    'shared',
  ],
  'hardware/emulator': ['shared/bath'],
};

const folders = Object.keys(MAY).sort((a, b) => b.length - a.length);
const folderOf = (path: string) => folders.find((folder) => path.startsWith(`${folder}/`)) ?? null;

interface Import {
  readonly from: string;
  readonly to: string;
  readonly typeOnly: boolean;
}

function importsOf(path: string): Import[] {
  const found: Import[] = [];
  const pattern = /(?:^|\n)\s*(import|export)\s+(type\s)?[^'";]*?from\s+'([^']+)'|import\('([^']+)'\)/g;
  for (const match of read(path).matchAll(pattern)) {
    const target = match[3] ?? match[4] ?? '';
    if (target.startsWith('.')) {
      found.push({
        from: path,
        to: normalize(join(dirname(path), target)),
        typeOnly: match[2] !== undefined,
      });
    }
  }
  return found;
}

function allowed({ from, to, typeOnly }: Import): boolean {
  const home = folderOf(from);
  const away = folderOf(to);
  if (home === null || away === null || home === away) return true;
  if (away === 'shared/units' || (away === 'shared/wire' && home !== 'shared/units')) return true;
  // The server may know the tick's types, nothing of its code.
  if (home === 'controller/serve' && away === 'controller/tick') return typeOnly;
  // Emulated hardware reaches the controller by dynamic import from main alone, and commands by nobody.
  return (MAY[home] ?? []).some((folder) => away === folder || away.startsWith(`${folder}/`));
}

const code = sourceFiles().filter((path) => /\.tsx?$/.test(path) && !path.startsWith('tests/'));

describe('imports', () => {
  it('point one way, as the table says', () => {
    const wrong = code.flatMap(importsOf).filter((one) => !allowed(one));
    expect(wrong.map(({ from, to }) => `${from} imports ${to}`)).toEqual([]);
  });

  it('find the table strict enough to refuse a wrong direction', () => {
    const backwards = { from: 'shared/food/a.ts', to: 'shared/plan/b.ts', typeOnly: false };
    expect(allowed(backwards)).toBe(false);
    expect(allowed({ from: 'controller/tick/a.ts', to: 'controller/journal/b.ts', typeOnly: true })).toBe(
      false,
    );
  });

  it('keep shared and the tick free of the outside world: no node modules, no clock, no chance', () => {
    const pure = code.filter((path) => path.startsWith('shared/') || path.startsWith('controller/tick/'));
    const wrong = pure.filter((path) => {
      const text = read(path).replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '');
      return /from 'node:|Date\.now\(|performance\.now\(|Math\.random\(|new Date\(\)|process\./.test(text);
    });
    expect(wrong).toEqual([]);
  });

  it('keep schemas out of the tick: what enters was parsed at the edge', () => {
    const wrong = code.filter(
      (path) =>
        path.startsWith('controller/tick/') &&
        /from 'zod'|\.parse\(|structuredClone|JSON\.parse/.test(read(path)),
    );
    expect(wrong).toEqual([]);
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ERRORS } from '../../shared/wire/errors.ts';
import { read, sourceFiles } from './tree.ts';

describe('papers', () => {
  it('list every error code in DEVELOPERS.md, and none that does not exist', () => {
    const text = readFileSync('DEVELOPERS.md', 'utf8');
    const section = text.slice(text.indexOf('## Error codes'));
    const listed = [...section.matchAll(/^\| `([a-z-]+)` \|/gm)].map((match) => match[1]).sort();
    expect(listed).toEqual(Object.keys(ERRORS).sort());
  });

  it('use every error code somewhere outside the registry', () => {
    const code = sourceFiles()
      .filter(
        (path) => /\.tsx?$/.test(path) && !path.startsWith('tests/') && path !== 'shared/wire/errors.ts',
      )
      .map(read)
      .join('\n');
    const unused = Object.keys(ERRORS).filter((key) => !code.includes(`'${key}'`));
    expect(unused).toEqual([]);
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const CSS = readFileSync(new URL('../../monitor/src/styles/tones.css', import.meta.url), 'utf8');

function tone(selector: string): Map<string, string> {
  const start = CSS.indexOf(`${selector} {`);
  const block = CSS.slice(start, CSS.indexOf('}', start));
  return new Map([...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6})/g)].map((found) => [found[1]!, found[2]!]));
}

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
}

function contrast(a: string, b: string): number {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high! + 0.05) / (low! + 0.05);
}

describe.each([
  ['dark room', ':root'],
  ['light', ':root[data-tone="day"]'],
])('The %s tone', (_, selector) => {
  const colours = tone(selector);
  const of = (name: string) => {
    const found = colours.get(name);
    if (!found) throw new Error(`no colour --${name} in ${selector}`);
    return found;
  };
  // WCAG 2.2, 1.4.3: text 4.5:1.
  test.each([
    ['text', 'ground'],
    ['text', 'panel'],
    ['text', 'raised'],
    ['muted', 'ground'],
    ['muted', 'panel'],
    ['stale', 'ground'],
    ['stale', 'panel'],
    ['on-strong', 'strong'],
    ['on-high', 'high'],
    ['on-medium', 'medium'],
    ['on-low', 'low'],
  ])('shows %s on %s at 4.5:1 or more', (front, back) => {
    expect(contrast(of(front), of(back))).toBeGreaterThanOrEqual(4.5);
  });
  // WCAG 2.2, 1.4.11: what must be seen to understand or use it, 3:1.
  test.each([
    ['edge', 'ground'],
    ['edge', 'panel'],
    ['bath', 'panel'],
    ['core', 'panel'],
    ['duty', 'panel'],
    ['high', 'panel'],
    ['low', 'panel'],
  ])('draws %s on %s at 3:1 or more', (front, back) => {
    expect(contrast(of(front), of(back))).toBeGreaterThanOrEqual(3);
  });
});

describe('The formula used here', () => {
  test('gives 21:1 for black on white, as WCAG 2.2 says', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5);
  });
});

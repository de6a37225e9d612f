/** A drawing under way: shapes in the order they were drawn, in units of the drawing (about 1/4 mm on A3). */
export interface Sheet {
  readonly width: number;
  readonly height: number;
  readonly shapes: string[];
}

export type Point = readonly [x: number, y: number];
export type Anchor = 'start' | 'middle' | 'end';

/** A new sheet. */
export function newSheet(width: number, height: number): Sheet {
  return { width, height, shapes: [] };
}

/** A wire or outline through points; `kind` is a class of the style sheet. */
export function path(sheet: Sheet, kind: string, ...points: readonly Point[]): void {
  sheet.shapes.push(`<polyline class="${kind}" points="${points.map(([x, y]) => `${x},${y}`).join(' ')}"/>`);
}

/** A free curve or symbol by SVG path data. */
export function curve(sheet: Sheet, kind: string, data: string): void {
  sheet.shapes.push(`<path class="${kind}" d="${data}"/>`);
}

/** A rectangle by its corner and size. */
export function box(
  sheet: Sheet,
  kind: string,
  [x, y]: Point,
  width: number,
  height: number,
  round = 0,
): void {
  const corner = round > 0 ? ` rx="${round}"` : '';
  sheet.shapes.push(`<rect class="${kind}" x="${x}" y="${y}" width="${width}" height="${height}"${corner}/>`);
}

/** A circle by its centre. */
export function circle(sheet: Sheet, kind: string, [x, y]: Point, radius: number): void {
  sheet.shapes.push(`<circle class="${kind}" cx="${x}" cy="${y}" r="${radius}"/>`);
}

/** A joint: wires that meet here are connected. Wires that cross without one are not. */
export function joint(sheet: Sheet, kind: string, at: Point): void {
  circle(sheet, `${kind} joint`, at, 4);
}

/** Words, one line each. */
export function words(
  sheet: Sheet,
  kind: string,
  [x, y]: Point,
  text: string,
  anchor: Anchor = 'start',
): void {
  text.split('\n').forEach((line, index) => {
    const at = `x="${x}" y="${y + index * LINE_HEIGHT}"`;
    sheet.shapes.push(`<text class="${kind}" ${at} text-anchor="${anchor}">${escaped(line)}</text>`);
  });
}

const LINE_HEIGHT = 17;
const escaped = (text: string) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

const STYLE = `
  svg { background: #fff; font: 13px "DejaVu Sans", Verdana, sans-serif; }
  polyline, path, rect, circle { fill: none; stroke: #111; stroke-width: 2; stroke-linejoin: round; stroke-linecap: round; }
  text { fill: #111; stroke: none; }
  .live { stroke: #7a3d00; stroke-width: 3; } .neutral { stroke: #0057b8; stroke-width: 3; }
  .earth { stroke: #1e7d1e; stroke-width: 3; stroke-dasharray: 14 5; }
  .plus24 { stroke: #b00020; } .zero24 { stroke: #444; } .plus5 { stroke: #b00020; }
  .joint { fill: #111; stroke-width: 1; } .live.joint { fill: #7a3d00; stroke-dasharray: none; }
  .neutral.joint { fill: #0057b8; } .earth.joint { fill: #1e7d1e; stroke-dasharray: none; }
  .part { fill: #fff; } .solid { fill: #111; } .thin { stroke-width: 1; }
  .link { stroke: #666; stroke-width: 1.5; stroke-dasharray: 6 5; }
  .zone-mains { fill: #fff3ec; stroke: #c9936f; stroke-width: 1; } .zone-low { fill: #f1f6ff; stroke: #8aa5cc; stroke-width: 1; }
  .barrier { fill: #ffe9a8; stroke: #a07800; stroke-width: 1; }
  .barrier-ground { fill: #ffe9a8; stroke: none; }
  .caution { fill: #fff; stroke: #b00020; stroke-width: 3; }
  .water { fill: #d5ebfa; stroke: #3a7fae; } .ground { fill: #ddd; stroke: #666; } .food { fill: #f3d3c9; stroke: #9c5a48; }
  .foam { fill: #f4efe2; stroke: #8d7c4f; } .metal { fill: #e3e6ea; stroke: #555; }
  .ref { font-weight: bold; font-size: 14px; } .pin { font-weight: bold; font-size: 14px; }
  .small { font-size: 11.5px; } .title { font-size: 22px; font-weight: bold; } .head { font-size: 15px; font-weight: bold; }
  .danger { font-size: 15px; font-weight: bold; fill: #8c001a; }
`;

/** The finished drawing as an SVG document with a title and a description for those who cannot see it. */
export function svgText(sheet: Sheet, title: string, description: string): string {
  const { width, height, shapes } = sheet;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-labelledby="t d">`,
    `<title id="t">${escaped(title)}</title>`,
    `<desc id="d">${escaped(description)}</desc>`,
    `<style>${STYLE}</style>`,
    ...shapes,
    '</svg>',
    '',
  ].join('\n');
}

/** Text that stands for itself in HTML, in an element or a quoted attribute. */
export function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}

/** How a figure came to be: read from an instrument, worked out by a model, said by a person, or noted by the controller. */
export type Origin = 'measured' | 'modelled' | 'stated' | 'noted';

/** The word that goes with a claim. */
export const origin = (of: Origin): string => `<span class="${of}">${of}</span>`;

/** A cell: text is escaped; null says that it is not known. */
export type Cell = string | number | null | { readonly html: string };

export function cell(value: Cell): string {
  if (value === null) return '<span class="none">not known</span>';
  return typeof value === 'object' ? value.html : escaped(String(value));
}

/** A table with a caption; where there are no rows it says so in words. */
export function table(caption: string, heads: readonly string[], rows: readonly (readonly Cell[])[]): string {
  const title = `<h3>${escaped(caption)}</h3>`;
  if (rows.length === 0) return `${title}<p class="none">None.</p>\n`;
  const head = heads.map((text) => `<th scope="col">${escaped(text)}</th>`).join('');
  const body = rows.map((row) => `<tr>${row.map((one) => `<td>${cell(one)}</td>`).join('')}</tr>`).join('\n');
  return `${title}<table><thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table>\n`;
}

/** Pairs of a name, how it came to be, and what it is. */
export function facts(rows: readonly (readonly [string, Origin, Cell])[]): string {
  const body = rows.map(
    ([name, of, value]) =>
      `<tr><th scope="row">${escaped(name)}</th><td>${cell(value)}</td><td>${origin(of)}</td></tr>`,
  );
  return `<table class="facts"><tbody>\n${body.join('\n')}\n</tbody></table>\n`;
}

/** UTC, ISO 8601 to the second, as every instant on the record. */
export const utc = (ms: number | null): string | null =>
  ms === null ? null : `${new Date(ms).toISOString().slice(0, 19).replace('T', ' ')} Z`;

/** A temperature with one decimal, or null. */
export const degrees = (celsius: number | null): string | null =>
  celsius === null ? null : `${celsius.toFixed(1)} °C`;

export const STYLE = `
body{font:10pt/1.4 system-ui,sans-serif;color:#111;background:#fff;max-width:190mm;margin:8mm auto;padding:0 4mm}
h1{font-size:17pt;margin:0 0 2mm}h2{font-size:12.5pt;margin:7mm 0 2mm;border-bottom:1.5pt solid #111}
h3{font-size:10pt;margin:4mm 0 1mm}p{margin:1.5mm 0}
table{border-collapse:collapse;width:100%;font-size:8.5pt}
th,td{text-align:left;vertical-align:top;border:.5pt solid #999;padding:1mm 1.5mm;overflow-wrap:break-word}
thead{display:table-header-group}tr{break-inside:avoid}thead th{background:#eee}
.facts th{width:42mm;font-weight:600}.facts td:last-child{width:18mm}
.measured,.modelled,.stated,.noted{font-size:7.5pt;border:.5pt solid #555;border-radius:2pt;padding:0 1.2mm;white-space:nowrap}
.measured{border-style:solid;font-weight:700}.modelled{border-style:dashed;font-style:italic}
.none{color:#555}.caution{border:1.5pt solid #111;padding:2mm 3mm;margin:3mm 0}
code{font:8.5pt/1.3 ui-monospace,monospace;overflow-wrap:anywhere}
svg{width:100%;height:auto;border:.5pt solid #999}svg text{font:9px system-ui,sans-serif}
@media print{@page{size:A4;margin:14mm 12mm}body{margin:0;padding:0;max-width:none}h2,h3{break-after:avoid}svg{break-inside:avoid}}
`;

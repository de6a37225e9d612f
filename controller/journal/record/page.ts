import { checkConfig } from '../../../shared/wire/config.ts';
import type { CookRow } from '../../../shared/wire/record.ts';
import { type ExportPoint, exportPoint } from '../export.ts';
import { peopleIn } from '../facts.ts';
import { configFacts } from '../facts-config.ts';
import type { JournalReader, RunConfig } from '../reader.ts';
import { bagSection } from './bags.ts';
import { chart } from './chart.ts';
import { alarmSection, decisionSection, eventSection } from './happened.ts';
import { type Head, headOf } from './head.ts';
import { type Cell, degrees, escaped, facts, origin, STYLE, table, utc } from './html.ts';
import { type Measured, measuredOf } from './measured.ts';
import { powerCutSection } from './power-cuts.ts';
import { rigSection } from './rig.ts';

/**
 * The record of a cook as one page of HTML to print, whole in itself: no script, nothing loaded. Each claim says
 * whether it was measured, modelled, stated by a person or noted by the controller. In pieces of text.
 * Rejects with `cook-unknown`.
 */
export async function* cookRecordHtml(
  reader: JournalReader,
  cookId: string,
  point?: ExportPoint,
): AsyncGenerator<string> {
  const at = point ?? (await exportPoint(reader, cookId));
  const { detail, throughSequence } = at;
  const { cook, bags, runs } = detail;
  const checked = checkConfig(JSON.parse(cook.configJson));
  const config = checked.ok ? checked.config : null;
  yield `<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Record of ${escaped(cook.name)}</title><style>${STYLE}</style></head><body>\n`;
  yield `<h1>Record of a cook: ${escaped(cook.name)}</h1>\n`;
  if (runs.some(({ speed }) => speed !== 1)) {
    const speed = Math.max(...runs.map((run) => run.speed));
    yield `<p class="caution"><strong>Simulation.</strong> Time ran ${speed} times faster than real time: no food was heated.</p>\n`;
  }
  yield `<p>${origin('measured')} read from a probe or the board. ${origin('modelled')} worked out from measured water and stated food; no probe was there. ${origin('stated')} said by a person. ${origin('noted')} kept by the controller. All times are UTC.</p>\n`;
  const measured = await measuredOf(reader, cookId, at);
  const head = await headOf(reader, at, cookId);
  const configs = await reader.configs(cookId);
  yield `<h2>Who and what</h2>\n${aboutSection(at, cookId, config?.kitchen ?? null)}`;
  yield `<h2>Water</h2>\n${waterSection(measured)}${chart(measured.minutes, bags)}`;
  yield `<h2>Food</h2>\n${bagSection(detail, measured)}`;
  yield `<h2>Gaps and clock</h2>\n${clockSection(measured)}`;
  yield `<h2>Power cuts</h2>\n${powerCutSection(detail)}`;
  yield `<h2>Decisions and alarms</h2>\n${decisionSection(detail)}${alarmSection(detail)}${eventSection(detail)}`;
  yield `<h2>Rig, probes and rules</h2>\n${rigSection(config, detail)}${changedConfig(configs, cook)}`;
  yield `<h2>Proof</h2>\n${proofSection(head, cookId, throughSequence)}`;
  yield `<p class="caution">This record says what was measured and what models make of it. It is no approval: local codes and the authority that inspects decide, and a person checked or did not check the food with a probe. What heat cannot mend (toxins, spores) is not undone by later heat.</p>\n</body></html>\n`;
}

function aboutSection({ detail, throughSequence }: ExportPoint, cookId: string, kitchen: string | null) {
  const { cook, commands, runs } = detail;
  const people = peopleIn(commands);
  const running: Cell = cook.endedAtMs === null ? 'not ended when this was made' : utc(cook.endedAtMs);
  return facts([
    ['Kitchen', 'stated', kitchen],
    ['Cook', 'noted', cookId],
    ['People named', 'stated', people.length > 0 ? people.join(', ') : null],
    ['Began', 'noted', utc(cook.startedAtMs)],
    ['Ended', 'noted', running],
    ['Stage', 'noted', cook.stage],
    ['Setpoint, last', 'stated', degrees(cook.setpointC)],
    ['Covers ticks up to', 'noted', throughSequence],
    [
      'Controller code',
      'noted',
      [...new Set(runs.map((run) => run.codeVersion))].join(', ') || cook.codeVersion,
    ],
    ['Models', 'noted', 'conduction, lethality, growth and tenderness carry the version of that code'],
  ]);
}

function waterSection({ samples, valid, minC, meanC, maxC, firstMs, lastMs, qualities }: Measured): string {
  const quality = [...qualities].map(([name, count]) => `${name} ${count}`).join(', ');
  return facts([
    ['Samples', 'measured', `${samples}, of which ${valid} with a valid reading`],
    ['From, to', 'noted', firstMs === null ? null : `${utc(firstMs)} to ${utc(lastMs)}`],
    [
      'Lowest, mean, highest',
      'measured',
      `${degrees(minC) ?? '-'}, ${degrees(meanC) ?? '-'}, ${degrees(maxC) ?? '-'}`,
    ],
    ['Bath probe, readings by quality', 'measured', quality || null],
  ]);
}

function clockSection({ gaps, untrusted, untrustedSpans, samples }: Measured): string {
  const trust =
    untrusted === 0
      ? `trusted in every one of ${samples} ticks`
      : `NOT trusted in ${untrusted} of ${samples} ticks: lengths across them are guesses`;
  const rows = gaps.map((gap): Cell[] => [
    gap.kind,
    utc(gap.fromMs),
    utc(gap.toMs),
    `${((gap.toMs - gap.fromMs) / 1000).toFixed(0)} s`,
    gap.wallTrusted ? 'trusted' : 'NOT trusted',
    gap.reason,
  ]);
  const spans = untrustedSpans.map(({ fromSequence, throughSequence, fromMs, toMs, ticks }): Cell[] => [
    `${fromSequence} to ${throughSequence}`,
    ticks,
    utc(fromMs),
    utc(toMs),
  ]);
  const steps = gaps
    .filter(({ kind }) => kind === 'clock-step')
    .map(({ fromMs, toMs, reason }): Cell[] => [utc(fromMs), utc(toMs), reason]);
  const untrustedTable =
    spans.length === 0
      ? ''
      : table(
          'Wall clock not trusted (noted; times by that clock)',
          ['Ticks', 'How many', 'From', 'To'],
          spans,
        );
  const stepTable =
    steps.length === 0 ? '' : table('Steps of the wall clock (noted)', ['Before', 'After', 'What'], steps);
  return `${facts([['Wall clock', 'noted', trust]])}${untrustedTable}${stepTable}${table('Gaps', ['Kind', 'From', 'To', 'Length', 'Clock', 'Why'], rows)}`;
}

/** What a later start of the controller configured otherwise; empty where nothing was. */
function changedConfig(configs: readonly RunConfig[], cook: CookRow): string {
  const rows = configFacts(configs, cook).filter(({ claim }) => / from tick \d+$/.test(claim));
  const cells = rows.map(({ claim, value }): Cell[] => [claim, value]);
  return cells.length === 0 ? '' : table('Configured otherwise later (stated)', ['What', 'Now'], cells);
}

function proofSection({ sequence, link }: Head, cookId: string, through: number): string {
  if (link === null) return '<p>These ticks were recorded before the log kept a SHA-256 chain.</p>\n';
  return `<p>Every row behind this page is sealed in a SHA-256 chain. Its link at tick ${sequence} (record through tick ${through}):</p>
<p><code>${link}</code></p>
<p>To check the log or an exported file against it: <code>bathkeeper verify ${escaped(cookId)} --head ${link}</code></p>
<p>The chain holds no secret: it binds whoever has a link of it on paper. Sign and date this page, and keep it apart from the machine.</p>
<table class="facts"><tbody><tr><th scope="row">Signed</th><td>&nbsp;</td></tr><tr><th scope="row">Date</th><td>&nbsp;</td></tr></tbody></table>\n`;
}

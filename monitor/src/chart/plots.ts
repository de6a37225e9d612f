import uPlot from 'uplot';
import type { Picture } from '../series/picture.ts';
import { axisText } from '../words/clock.ts';
import { inUnit, type TemperatureUnit } from '../words/temperature.ts';

/** What a redraw needs beside the picture. Temperatures in degrees C. */
export interface Frame {
  readonly fromMs: number;
  readonly toMs: number;
  /** Time of the newest data; what lies right of it is hatched as "no data". */
  readonly dataToMs: number;
  readonly unit: TemperatureUnit;
  readonly hotLimitC: number;
}

export interface Colours {
  readonly text: string;
  readonly grid: string;
  readonly bath: string;
  readonly core: string;
  readonly coreSpan: string;
  readonly bathSpan: string;
  readonly band: string;
  readonly limit: string;
  readonly setpoint: string;
  readonly duty: string;
}

/** Colours of the tone in force, from the style sheet. */
export function coloursOf(element: Element): Colours {
  const style = getComputedStyle(element);
  const of = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    text: of('muted'),
    grid: of('grid'),
    bath: of('bath'),
    core: of('core'),
    coreSpan: of('core-span'),
    bathSpan: of('bath-span'),
    band: of('band'),
    limit: of('text'),
    setpoint: of('text'),
    duty: of('duty'),
  };
}

const AXIS_WIDTH = 46;
const FONT = '14px system-ui, sans-serif';

function timeAxis(frame: () => Frame, colours: Colours, shown: boolean): uPlot.Axis {
  return {
    stroke: colours.text,
    font: FONT,
    grid: { stroke: colours.grid, width: 1 },
    ticks: { show: false },
    size: shown ? 30 : 6,
    space: 74,
    values: (_, splits) =>
      splits.map((s) => (shown ? axisText(s * 1000, frame().toMs - frame().fromMs) : '')),
  };
}

function xScale(frame: () => Frame): uPlot.Scale {
  return { time: true, range: () => [frame().fromMs / 1000, frame().toMs / 1000] };
}

/** Least and greatest of what is drawn, with air, and never a span under 4 degrees C. */
function yRange(self: uPlot, frame: Frame): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const column of self.data.slice(1)) {
    for (const value of column) {
      if (value === null || value === undefined) continue;
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
  }
  const scale = frame.unit === 'C' ? 1 : 1.8;
  if (low > high) return [inUnit(0, frame.unit), inUnit(100, frame.unit)];
  const air = Math.max((high - low) * 0.08, (4 * scale - (high - low)) / 2, 0.5 * scale);
  return [low - air, high + air];
}

function stepped(): Pick<uPlot.Series, 'paths'> {
  const paths = uPlot.paths.stepped?.({ align: 1 });
  return paths ? { paths } : {};
}

/** In the order of `temperatureData`; the first six only bound the three spans. */
function temperatureSeries(colours: Colours): uPlot.Series[] {
  const none = { stroke: 'transparent', width: 0, points: { show: false } };
  const points = { show: false };
  return [
    {},
    none,
    none,
    none,
    none,
    { ...none, ...stepped() },
    { ...none, ...stepped() },
    { stroke: colours.setpoint, width: 1.5, dash: [8, 6], points, ...stepped() },
    { stroke: colours.core, width: 2.5, dash: [2, 3], points },
    { stroke: colours.bath, width: 2.5, points },
  ];
}

/** The temperature chart: bath with its least and greatest, setpoint, core with its envelope, limit, band. */
export function temperaturePlot(
  host: HTMLElement,
  size: { width: number; height: number },
  frame: () => Frame,
  colours: Colours,
  onCursor: (index: number | null) => void,
): uPlot {
  return new uPlot(
    {
      ...size,
      padding: [8, 22, 0, 0],
      legend: { show: false },
      cursor: { y: false, drag: { x: false, y: false }, points: { show: false } },
      scales: { x: xScale(frame), y: { range: (self) => yRange(self, frame()) } },
      axes: [
        timeAxis(frame, colours, true),
        {
          stroke: colours.text,
          font: FONT,
          size: AXIS_WIDTH,
          grid: { stroke: colours.grid, width: 1 },
          ticks: { show: false },
          space: 40,
        },
      ],
      series: temperatureSeries(colours),
      bands: [
        { series: [6, 5], fill: colours.band },
        { series: [2, 1], fill: colours.bathSpan },
        { series: [4, 3], fill: colours.coreSpan },
      ],
      hooks: {
        drawClear: [(self) => drawBackground(self, frame(), colours)],
        draw: [(self) => drawMarks(self, frame(), colours)],
        setCursor: [
          (self) =>
            onCursor(
              self.cursor.left !== undefined && self.cursor.left >= 0 ? (self.cursor.idx ?? null) : null,
            ),
        ],
      },
    },
    [[], [], [], [], [], [], [], [], [], []],
    host,
  );
}

/** The duty strip under it, with the same time axis. */
export function dutyPlot(
  host: HTMLElement,
  size: { width: number; height: number },
  frame: () => Frame,
  colours: Colours,
): uPlot {
  return new uPlot(
    {
      ...size,
      padding: [8, 22, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      scales: { x: xScale(frame), y: { range: [0, 100] } },
      axes: [
        timeAxis(frame, colours, false),
        {
          stroke: colours.text,
          font: FONT,
          size: AXIS_WIDTH,
          grid: { stroke: colours.grid, width: 1 },
          ticks: { show: false },
          splits: () => [0, 50, 100],
          values: (_, splits) => splits.map((s) => (s === 50 ? '' : `${s}%`)),
        },
      ],
      series: [
        {},
        {
          stroke: colours.duty,
          width: 1.5,
          fill: colours.band,
          points: { show: false },
          ...stepped(),
        },
      ],
    },
    [[], []],
    host,
  );
}

/** The picture's columns in the order of the temperature chart's series; no normal band where nobody named one. */
export function temperatureData(
  picture: Picture,
  unit: TemperatureUnit,
  band: { readonly underC: number; readonly overC: number } | null,
): uPlot.AlignedData {
  const turn = (column: readonly (number | null)[], byC = 0) =>
    column.map((value) => (value === null ? null : inUnit(value + byC, unit)));
  const none = picture.timeS.map(() => null);
  return [
    picture.timeS,
    turn(picture.bathMinC),
    turn(picture.bathMaxC),
    turn(picture.coldC),
    turn(picture.hotC),
    band ? turn(picture.setpointC, -band.underC) : none,
    band ? turn(picture.setpointC, band.overC) : none,
    turn(picture.setpointC),
    turn(picture.coreC),
    turn(picture.bathC),
  ];
}

export function dutyData(picture: Picture): uPlot.AlignedData {
  return [picture.timeS, picture.duty.map((value) => (value === null ? null : value * 100))];
}

function drawBackground(self: uPlot, frame: Frame, colours: Colours): void {
  const { ctx, bbox } = self;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  const from = Math.max(bbox.left, self.valToPos(frame.dataToMs / 1000, 'x', true));
  const right = bbox.left + bbox.width;
  if (right - from > 3) hatch(self, from, right, colours.grid);
  ctx.restore();
}

/** Diagonal lines: no data here. */
function hatch(self: uPlot, from: number, to: number, colour: string): void {
  const { ctx, bbox } = self;
  ctx.beginPath();
  ctx.rect(from, bbox.top, to - from, bbox.height);
  ctx.clip();
  ctx.beginPath();
  const step = 12 * devicePixelRatio;
  for (let x = from - bbox.height; x < to; x += step) {
    ctx.moveTo(x, bbox.top + bbox.height);
    ctx.lineTo(x + bbox.height, bbox.top);
  }
  ctx.strokeStyle = colour;
  ctx.lineWidth = devicePixelRatio;
  ctx.stroke();
}

function drawMarks(self: uPlot, frame: Frame, colours: Colours): void {
  const { ctx, bbox } = self;
  const y = self.valToPos(inUnit(frame.hotLimitC, frame.unit), 'y', true);
  if (y < bbox.top || y > bbox.top + bbox.height) return;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = colours.limit;
  ctx.lineWidth = 1.5 * ratio;
  ctx.setLineDash([2 * ratio, 4 * ratio]);
  ctx.beginPath();
  ctx.moveTo(bbox.left, y);
  ctx.lineTo(bbox.left + bbox.width, y);
  ctx.stroke();
  ctx.font = `${13 * ratio}px system-ui, sans-serif`;
  ctx.fillStyle = colours.text;
  ctx.textAlign = 'left';
  ctx.textBaseline = 'bottom';
  ctx.fillText('hot limit', bbox.left + 6 * ratio, y - 2 * ratio);
  ctx.restore();
}

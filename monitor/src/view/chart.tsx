import { computed, effect, signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type uPlot from 'uplot';
import { durationText } from '../../../shared/units/duration.ts';
import {
  coloursOf,
  dutyData,
  dutyPlot,
  type Frame,
  temperatureData,
  temperaturePlot,
} from '../chart/plots.ts';
import {
  canCloser,
  canWider,
  closer,
  earlier,
  following,
  later,
  rightMs,
  togglePause,
  wider,
  widthMs,
} from '../chart/window.ts';
import { type Picture, pictureOf } from '../series/picture.ts';
import { bandReach, chosenBagId, history, historyVersion, nowMs, status } from '../state/bath.ts';
import { tone, unit } from '../state/prefs.ts';
import { clockText, dayClockText } from '../words/clock.ts';
import { temperatureText } from '../words/temperature.ts';
import { Button } from './parts.tsx';
import { ChartTable } from './table.tsx';

const PLOT_HEIGHT = 250;
const DUTY_HEIGHT = 74;

const picture = signal<Picture | null>(null);
const cursorIndex = signal<number | null>(null);
const hostWidth = signal(0);
/** The chart moves on once a second, however often the clock of the page is looked at. */
const second = computed(() => Math.floor(nowMs.value / 1000));

function frameNow(): Frame {
  const right = rightMs.peek() ?? 0;
  const newest = history.raw.length > 0 ? history.raw.startMs[history.raw.length - 1]! : right;
  return {
    fromMs: right - widthMs.peek(),
    toMs: right,
    dataToMs: newest,
    unit: unit.peek(),
    hotLimitC: status.peek()?.hotLimitC ?? 57.2,
  };
}

/** Holds the two plots; they are made anew when size, unit or tone change, and filled on each change of data. */
function Plots() {
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = host.current!;
    const observer = new ResizeObserver(() => {
      hostWidth.value = Math.floor(element.clientWidth);
    });
    observer.observe(element);
    let plots: { temperature: uPlot; duty: uPlot } | null = null;
    const stopMaking = effect(() => {
      const width = hostWidth.value;
      const look = `${unit.value} ${tone.value}`;
      plots?.temperature.destroy();
      plots?.duty.destroy();
      plots = null;
      if (width < 50 || look === '') return;
      const colours = coloursOf(element);
      plots = {
        temperature: temperaturePlot(element, { width, height: PLOT_HEIGHT }, frameNow, colours, (index) => {
          cursorIndex.value = index;
        }),
        duty: dutyPlot(element, { width, height: DUTY_HEIGHT }, frameNow, colours),
      };
      const now = picture.peek();
      if (now) fill(plots, now);
    });
    const stopFilling = effect(() => {
      const changed = historyVersion.value + second.value;
      const right = following.value ? rightMs.peek() : rightMs.value;
      // Nobody looks at a hidden page; the first second back in view draws all that came meanwhile.
      if (right === null || document.hidden || changed < 0) return;
      picture.value = pictureOf(history, {
        fromMs: right - widthMs.value,
        toMs: right,
        bagId: chosenBagId.value,
      });
      if (plots) fill(plots, picture.value);
    });
    return () => {
      stopFilling();
      stopMaking();
      observer.disconnect();
      plots?.temperature.destroy();
      plots?.duty.destroy();
    };
  }, []);
  return <div class="plots" ref={host} />;
}

function fill(plots: { temperature: uPlot; duty: uPlot }, now: Picture): void {
  plots.temperature.setData(temperatureData(now, unit.peek(), bandReach.peek()));
  plots.duty.setData(dutyData(now));
}

/** The values under the finger, or the newest ones. */
function Readout() {
  const now = picture.value;
  if (!now || now.timeS.length === 0) return <p class="readout">No data in this window.</p>;
  const u = unit.value;
  const index = cursorIndex.value ?? now.timeS.length - 1;
  const at = now.timeS[index];
  if (at === undefined) return null;
  const bath = now.bathC[index] ?? null;
  const core = now.coreC[index] ?? null;
  const duty = now.duty[index] ?? null;
  return (
    <p class="readout" data-test="readout">
      <span>{clockText(at * 1000, true)}</span>
      {bath === null ? <span>no data</span> : <span>bath {temperatureText(bath, u)}</span>}
      {core === null ? null : <span>core {temperatureText(core, u)}</span>}
      {duty === null ? null : <span>duty {Math.round(duty * 100)} %</span>}
    </p>
  );
}

function Key() {
  const bag = status.value?.bags.find((one) => one.bagId === chosenBagId.value);
  return (
    <p class="key">
      <span>
        <i class="sample bath-sample" /> bath
      </span>
      <span>
        <i class="sample wanted-sample" /> setpoint
      </span>
      <span>
        <i class="sample band-sample" /> normal band
      </span>
      {bag ? (
        <span>
          <i class="sample core-sample" /> core of {bag.label}, modelled, with coldest to hottest case
        </span>
      ) : null}
    </p>
  );
}

function Controls() {
  return (
    <div class="chart-buttons">
      <Button test="chart-earlier" onPress={earlier}>
        Earlier
      </Button>
      <Button test="chart-later" disabled={following.value} onPress={later}>
        Later
      </Button>
      <Button test="chart-pause" pressed={!following.value} onPress={togglePause}>
        {following.value ? 'Pause' : 'Go on'}
      </Button>
      <Button test="chart-wider" label="Longer: show more time" disabled={!canWider.value} onPress={wider}>
        Longer
      </Button>
      <Button
        test="chart-closer"
        label="Shorter: show less time"
        disabled={!canCloser.value}
        onPress={closer}
      >
        Shorter
      </Button>
    </div>
  );
}

/** Bath, core and duty over time, with buttons for everything and a table that says the same. */
export function Chart() {
  const right = rightMs.value;
  if (right === null) return null;
  const from = right - widthMs.value;
  const gaps = picture.value?.gaps ?? 0;
  const length = durationText(widthMs.value / 1000);
  const span = `${length}, ${following.value ? 'up to now' : `standing still, from ${dayClockText(from)} to ${dayClockText(right)}`}`;
  return (
    <section
      class="chart"
      data-test="chart"
      data-following={following.value}
      data-rows={picture.value?.timeS.length ?? 0}
      data-gaps={gaps}
      data-last-sequence={historyVersion.value >= 0 ? history.lastSequence : 0}
      data-raw-rows={history.raw.length}
      data-raw-first={history.raw.length > 0 ? history.raw.first[0] : 0}
    >
      <h2>Over time</h2>
      <p class="chart-span" data-test="chart-span">
        {span}
        {gaps > 0 ? `; broken ${gaps === 1 ? 'once' : `${gaps} times`} where data is missing` : ''}
      </p>
      <div role="img" aria-label={`Bath, core and duty over ${length}. The table below has the same values.`}>
        <Plots />
      </div>
      <Readout />
      <Key />
      <Controls />
      {picture.value ? <ChartTable picture={picture.value} fromMs={from} toMs={right} /> : null}
    </section>
  );
}

import { computed, signal } from '@preact/signals';
import { controllerMs } from '../state/bath.ts';

/** Widths the buttons step through, in milliseconds. */
export const WIDTHS_MS = [5, 15, 30, 120, 480, 1440, 4320].map((minutes) => minutes * 60_000);

const widthIndex = signal(2);
/** Right edge when the chart stands still; null while it follows. */
const heldAtMs = signal<number | null>(null);

export const widthMs = computed(() => WIDTHS_MS[widthIndex.value] ?? 1_800_000);
export const following = computed(() => heldAtMs.value === null);
export const rightMs = computed(() => heldAtMs.value ?? controllerMs.value);
export const canCloser = computed(() => widthIndex.value > 0);
export const canWider = computed(() => widthIndex.value < WIDTHS_MS.length - 1);

export function closer(): void {
  widthIndex.value = Math.max(0, widthIndex.value - 1);
}

export function wider(): void {
  widthIndex.value = Math.min(WIDTHS_MS.length - 1, widthIndex.value + 1);
}

/** Stands still, or follows the newest data again. */
export function togglePause(): void {
  heldAtMs.value = following.value ? controllerMs.value : null;
}

export function earlier(): void {
  const right = rightMs.value;
  if (right !== null) heldAtMs.value = right - widthMs.value / 2;
}

/** Half a window on; past the newest data the chart follows again. */
export function later(): void {
  const now = controllerMs.value;
  if (heldAtMs.value === null || now === null) return;
  const moved = heldAtMs.value + widthMs.value / 2;
  heldAtMs.value = moved >= now ? null : moved;
}

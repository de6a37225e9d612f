import { computed, effect, type Signal, signal } from '@preact/signals';
import type { TemperatureUnit } from '../words/temperature.ts';

export type Screen = 'auto' | 'day' | 'night';

/** A choice kept on this phone; a browser that keeps nothing still works until the page is closed. */
function kept<T extends string>(key: string, allowed: readonly T[], fallback: T): Signal<T> {
  const name = `bathkeeper.${key}`;
  let stored: string | null = null;
  try {
    stored = localStorage.getItem(name);
  } catch {
    // Storage is switched off in this browser.
  }
  const found = allowed.find((value) => value === stored) ?? fallback;
  const choice = signal<T>(found);
  effect(() => {
    try {
      localStorage.setItem(name, choice.value);
    } catch {
      // As above.
    }
  });
  return choice;
}

export const unit = kept<TemperatureUnit>('unit', ['C', 'F'], 'C');
export const screenTone = kept<Screen>('screen', ['auto', 'day', 'night'], 'auto');
const lightPhone = matchMedia('(prefers-color-scheme: light)');
const phoneIsLight = signal(lightPhone.matches);
lightPhone.addEventListener('change', () => {
  phoneIsLight.value = lightPhone.matches;
});

/** The tone in force: the choice, or what the phone is set to. */
export const tone = computed<'day' | 'night'>(() => {
  if (screenTone.value !== 'auto') return screenTone.value;
  return phoneIsLight.value ? 'day' : 'night';
});

/** Whether the cautions were read on this phone. */
export const cautionsRead = kept<'yes' | 'no'>('cautions-read', ['yes', 'no'], 'no');
/** Whether this phone should try to keep its screen on. */
export const keepAwake = kept<'yes' | 'no'>('keep-awake', ['yes', 'no'], 'yes');

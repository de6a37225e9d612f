/** What this file needs of the browser's storage; named here so that Node's tests can check what imports it. */
interface Storage {
  getItem(name: string): string | null;
  setItem(name: string, value: string): void;
  removeItem(name: string): void;
}

function storage(): Storage {
  return (globalThis as unknown as { localStorage: Storage }).localStorage;
}

/** Keeps something on this phone; a browser that keeps nothing still works until the page is closed. */
export function remember(name: string, value: unknown): void {
  try {
    if (value === null) storage().removeItem(`bathkeeper.${name}`);
    else storage().setItem(`bathkeeper.${name}`, JSON.stringify(value));
  } catch {
    // Storage is switched off or full.
  }
}

/** What was kept; null where there is nothing, or nothing that can be read. */
export function recall<T>(name: string): T | null {
  try {
    const text = storage().getItem(`bathkeeper.${name}`);
    return text === null ? null : (JSON.parse(text) as T);
  } catch {
    return null;
  }
}

/** Keeps something on this phone; a browser that keeps nothing still works until the page is closed. */
export function remember(name: string, value: unknown): void {
  try {
    if (value === null) localStorage.removeItem(`bathkeeper.${name}`);
    else localStorage.setItem(`bathkeeper.${name}`, JSON.stringify(value));
  } catch {
    // Storage is switched off or full.
  }
}

/** What was kept; null where there is nothing, or nothing that can be read. */
export function recall<T>(name: string): T | null {
  try {
    const text = localStorage.getItem(`bathkeeper.${name}`);
    return text === null ? null : (JSON.parse(text) as T);
  } catch {
    return null;
  }
}

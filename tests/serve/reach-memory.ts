import type { KeptName, ReachStore } from '../../controller/reach/store.ts';

/** A store in memory, whose writing can be made to fail. */
export function memoryKept(): ReachStore & {
  readonly texts: Map<KeptName, string>;
  fails: boolean;
  writes: number;
} {
  const texts = new Map<KeptName, string>();
  return {
    texts,
    fails: false,
    writes: 0,
    load: async (name) => texts.get(name) ?? null,
    async save(name, text) {
      this.writes += 1;
      if (this.fails) throw Object.assign(new Error('no space'), { code: 'ENOSPC' });
      texts.set(name, text);
    },
    async setAside(name) {
      texts.delete(name);
      return `${name}.aside`;
    },
  };
}

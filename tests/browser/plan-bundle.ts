import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
/** Where the sources are, from here and from the compiled tools one folder deeper. */
const HOME = ROOT.endsWith('/dist/') ? fileURLToPath(new URL('../../../', import.meta.url)) : ROOT;

/**
 * The planning code of the product as the page's builder makes it, minified, as one script that leaves
 * `globalThis.planning = { planBackwards, reforecast }`.
 */
export async function planBundle(): Promise<string> {
  const entry = '\0planning';
  const made = await build({
    configFile: false,
    root: HOME,
    logLevel: 'error',
    plugins: [
      {
        name: 'planning-entry',
        resolveId: (id: string) => (id === 'planning' ? entry : null),
        load: (id: string) =>
          id === entry
            ? `import { planBackwards } from '${HOME}shared/plan/plan.ts';
               import { reforecast } from '${HOME}shared/plan/reforecast.ts';
               globalThis.planning = { planBackwards, reforecast };`
            : null,
      },
    ],
    build: { write: false, target: 'es2022', rollupOptions: { input: 'planning' } },
  });
  const outputs = (Array.isArray(made) ? made : [made]) as { output?: { type: string; code?: string }[] }[];
  const code = outputs.flatMap(({ output = [] }) => output.flatMap((one) => one.code ?? [])).join('\n');
  if (!code.includes('planning')) throw new Error('the builder gave no planning code');
  return code;
}

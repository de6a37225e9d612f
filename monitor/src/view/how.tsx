import { installation } from '../state/bath.ts';
import { Lazy } from './lazy.tsx';
import { Page } from './parts.tsx';

const probes = () => import('./probes.tsx').then((part) => part.ProbeList);
const table = () => import('./models.tsx').then((part) => part.ModelTable);

/** How the product knows what it says: every model from the code's own records. */
export function HowPage() {
  return (
    <Page test="how-page" title="How it knows" wide>
      <p>
        The bath is measured. What is told of the food is worked out from the bath’s history by these models,
        unless it says measured. Each stands with its source, where it holds, how it was checked and where it
        is weak.
      </p>
      <p>Limits are judged by the local profile “{installation.value?.profile}”.</p>
      {installation.value?.probes.length ? <Lazy load={probes} /> : null}
      <Lazy load={table} />
    </Page>
  );
}

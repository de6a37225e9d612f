import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { installation } from '../state/bath.ts';
import { Button, Page } from './parts.tsx';

/** How the product knows what it says. The table comes when it is asked for, so that the first load stays small. */
export function HowPage() {
  const Table = useSignal<ComponentType | null>(null);
  const failed = useSignal(false);
  const load = () => {
    failed.value = false;
    import('./models.tsx').then(
      ({ ModelTable }) => {
        Table.value = ModelTable;
      },
      () => {
        failed.value = true;
      },
    );
  };
  useEffect(load, []);
  const Loaded = Table.value;
  return (
    <Page test="how-page" title="How it knows" wide>
      <p>
        The bath is measured. What is told of the food is worked out from the bath’s history by these models,
        unless it says measured. Each stands with its source, where it holds, how it was checked and where it
        is weak.
      </p>
      <p>Limits are judged by the local profile “{installation.value?.profile}”.</p>
      {Loaded ? <Loaded /> : null}
      {failed.value ? (
        <div class="trouble" role="alert" data-test="how-failed">
          <strong>Not done.</strong> The table could not be fetched from the controller.
          <Button test="how-again" onPress={load}>
            Try again
          </Button>
        </div>
      ) : null}
      {Loaded || failed.value ? null : <p>Fetching the table…</p>}
    </Page>
  );
}

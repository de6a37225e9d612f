import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { Button } from './parts.tsx';

interface LazyProps {
  /** Fetches the part; called once, and again when the cook asks after a failure. */
  readonly load: () => Promise<ComponentType>;
}

/** A part that is fetched only when somebody wants to see it, so that the first load stays small. */
export function Lazy({ load }: LazyProps) {
  const part = useSignal<ComponentType | null>(null);
  const failed = useSignal(false);
  const fetchIt = () => {
    failed.value = false;
    load().then(
      (loaded) => {
        part.value = loaded;
      },
      () => {
        failed.value = true;
      },
    );
  };
  useEffect(fetchIt, []);
  const Part = part.value;
  if (Part) return <Part />;
  if (!failed.value) return <p>Fetching this part of the page…</p>;
  return (
    <div class="trouble" role="alert" data-test="fetch-failed">
      <strong>Not done.</strong> This part of the page could not be fetched from the controller.
      <Button test="fetch-again" onPress={fetchIt}>
        Try again
      </Button>
    </div>
  );
}

import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { z } from 'zod';
import { type CookView, cookViewSchema } from '../../../shared/wire/status.ts';
import { dateText } from '../words/clock.ts';
import { STAGE_WORDS } from '../words/stage.ts';
import { Page } from './parts.tsx';

const listSchema = z.array(cookViewSchema);

/** Links that download the record of one cook. */
export function ExportLinks({ cookId }: { cookId: string }) {
  const at = `/api/cooks/${encodeURIComponent(cookId)}`;
  return (
    <div class="row" data-test="exports" data-cook={cookId}>
      <a class="button" data-test="export-csv" href={`${at}/export.csv`} download>
        CSV
      </a>
      <a class="button" data-test="export-sidecar" href={`${at}/export.csv-metadata.json`} download>
        CSV columns
      </a>
      <a class="button" data-test="export-json" href={`${at}/export.json`} download>
        JSON
      </a>
    </div>
  );
}

async function fetchCooks(): Promise<CookView[]> {
  const response = await fetch('/api/cooks');
  if (!response.ok) throw new Error(`answer ${response.status}`);
  const body: unknown = await response.json();
  const list = Array.isArray(body) ? body : (body as { cooks?: unknown }).cooks;
  return listSchema.parse(list).sort((a, b) => b.startedAtMs - a.startedAtMs);
}

/** Every cook in the log, newest first, each with its downloads. */
export function PastPage() {
  const cooks = useSignal<CookView[] | null>(null);
  const failed = useSignal(false);
  useEffect(() => {
    fetchCooks()
      .then((list) => {
        cooks.value = list;
      })
      .catch(() => {
        failed.value = true;
      });
  }, []);
  return (
    <Page test="past-page" title="Records">
      {failed.value ? (
        <p class="trouble" role="alert">
          <strong>Not done.</strong> The list of cooks could not be read. Check the connection and come back.
        </p>
      ) : null}
      {cooks.value?.length === 0 ? <p>No cook has been recorded yet.</p> : null}
      {(cooks.value ?? []).map((cook) => (
        <section key={cook.cookId} class="past" data-test="past-cook" data-cook={cook.cookId}>
          <h2>{cook.name}</h2>
          <p>
            {dateText(cook.startedAtMs)}
            {cook.endedAtMs === null
              ? `, running: ${STAGE_WORDS[cook.stage]}`
              : ` to ${dateText(cook.endedAtMs)}`}
          </p>
          <ExportLinks cookId={cook.cookId} />
        </section>
      ))}
    </Page>
  );
}

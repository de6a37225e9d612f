import { createHash } from 'node:crypto';
import { gunzipSync } from 'node:zlib';
import { parse } from 'csv-parse/sync';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cookExportSchema } from '../../shared/wire/export.ts';
import { type Answer, type Bed, makeBed } from './server-bed.ts';

let bed: Bed;
beforeEach(async () => {
  bed = await makeBed();
  bed.hub.startCook('cook-1');
  bed.hub.commit(2500, [{ kind: 'note', text: 'Lid on.', data: {} }]);
});
afterEach(() => bed.close());

function codeOf(answer: Answer): string | undefined {
  return answer.json<{ error?: { code: string } }>().error?.code;
}

describe('server, the record of a cook', () => {
  it('lists the cooks without their configuration (OWASP ASVS 5.0 V15.3.1)', async () => {
    const answer = await bed.ask({ path: '/api/cooks' });
    expect(answer.json()).toEqual([
      {
        cookId: 'cook-1',
        name: 'Cook cook-1',
        stage: 'heating',
        startedAtMs: bed.hub.cook?.startedAtMs,
        endedAtMs: null,
      },
    ]);
  });

  it('gives the whole cook as CSV, every sample in order, and names the description beside it', async () => {
    const answer = await bed.ask({ path: '/api/cooks/cook-1/export.csv' });
    expect(answer.status).toBe(200);
    expect(answer.headers['content-type']).toBe('text/csv; charset=utf-8; header=present');
    expect(answer.headers['content-disposition']).toBe('attachment; filename="bathkeeper-cook-1.csv"');
    // csv-parse reads RFC 4180.
    const rows = parse(answer.text, { columns: true }) as Record<string, string>[];
    expect(rows).toHaveLength(2500);
    const metadata = await bed.ask({ path: '/api/cooks/cook-1/export.csv-metadata.json' });
    expect(metadata.headers['content-type']).toMatch(/^application\/csvm\+json/);
    const described = metadata.json<{
      url: string;
      tableSchema: { columns: { titles?: string; name: string }[] };
    }>();
    // "Model for Tabular Data and Metadata on the Web", section 5.2 and 5.3: a link, and the default name.
    expect(answer.headers.link).toContain('<export.csv-metadata.json>; rel="describedby"');
    expect(described.url).toBe('export.csv');
    expect(described.tableSchema.columns).toHaveLength(Object.keys(rows[0] ?? {}).length);
  });

  it('gives the whole cook as JSON of the export schema, equal to the journal', async () => {
    const answer = await bed.ask({ path: '/api/cooks/cook-1/export.json' });
    const document = cookExportSchema.parse(answer.json());
    expect(document.samples).toEqual(bed.hub.journal.samplesOf('cook-1'));
    expect(document.events).toEqual(bed.hub.journal.eventRows);
    expect(answer.headers['content-type']).toBe('application/json; charset=utf-8');
  });

  it('gives the record as a page to print that loads and runs nothing, and whose policy lets its own style apply', async () => {
    const answer = await bed.ask({ path: '/api/cooks/cook-1/record.html' });
    expect(answer.status).toBe(200);
    expect(answer.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(answer.text).toContain('<h1>Record of a cook: Cook cook-1</h1>');
    expect(answer.text).not.toMatch(/<script|<link|<img|src=|href=/);
    // CSP level 3, 2.3.1: the digest of the element's text, byte for byte.
    const style = /<style>([\s\S]*?)<\/style>/.exec(answer.text)?.[1] ?? '';
    const digest = createHash('sha256').update(style).digest('base64');
    expect(answer.headers['content-security-policy']).toContain(`style-src 'sha256-${digest}'`);
    expect(answer.headers['content-security-policy']).toContain("default-src 'none'");
    expect((await bed.ask({ path: '/api/cooks/none/record.html' })).status).toBe(404);
  });

  it('sends an export compressed to a client that takes it, and the same text', async () => {
    const path = '/api/cooks/cook-1/export.csv';
    const plain = await bed.ask({ path });
    const coded = await bed.ask({ path, headers: { 'accept-encoding': 'br, gzip' } });
    expect(coded.headers['content-encoding']).toBe('gzip');
    expect(gunzipSync(coded.bytes).toString()).toBe(plain.text);
    expect(coded.bytes.length).toBeLessThan(plain.bytes.length / 3);
  });

  it('refuses an unknown cook, and an id that is none, as cook-unknown', async () => {
    for (const id of ['cook-2', '%2e%2e', 'a%2Fb', 'a.b', "x'--"]) {
      for (const part of ['export.csv', 'export.json', 'export.csv-metadata.json']) {
        const answer = await bed.ask({ path: `/api/cooks/${id}/${part}` });
        expect([id, part, answer.status, codeOf(answer)]).toEqual([id, part, 404, 'cook-unknown']);
      }
    }
  });

  it('runs two exports at once and refuses a third, until one is done or has been left (V15.2.2)', async () => {
    const waiting: (() => void)[] = [];
    bed.hub.journal.beforeRead = () =>
      new Promise((resolve) => {
        waiting.push(resolve);
      });
    const path = '/api/cooks/cook-1/export.csv';
    const running = [bed.ask({ path }), bed.ask({ path })];
    while (waiting.length < 2) await new Promise((resolve) => setImmediate(resolve));
    const third = await bed.ask({ path });
    expect([third.status, codeOf(third)]).toEqual([429, 'too-many-requests']);
    bed.hub.journal.beforeRead = async () => {};
    for (const go of waiting) go();
    for (const one of running) expect((await one).status).toBe(200);
    expect((await bed.ask({ path })).status).toBe(200);
    for (let i = 0; i < 3; i += 1) await bed.ask({ path: '/api/cooks/none/export.csv' });
    expect((await bed.ask({ path })).status).toBe(200);
  });

  it('breaks the connection where reading fails half way, so that a part is never taken for the whole', async () => {
    let reads = 0;
    bed.hub.journal.beforeRead = async () => {
      reads += 1;
      if (reads > 4) throw new Error('disk gone');
    };
    await expect(bed.ask({ path: '/api/cooks/cook-1/export.csv' })).rejects.toThrow(/aborted|hang up/);
  });

  it('stops reading the journal when the client has left', async () => {
    bed.hub.commit(50_000);
    const controller = new AbortController();
    const response = await fetch(`${bed.origin}/api/cooks/cook-1/export.json`, {
      signal: controller.signal,
      headers: { 'accept-encoding': 'identity' },
    });
    await response.body?.getReader().read();
    controller.abort();
    // Reads come to rest long before the 1300 that the whole cook takes.
    let before = -1;
    while (before !== bed.hub.journal.reads) {
      before = bed.hub.journal.reads;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    expect(before).toBeLessThan(900);
    // Its place is free again: two more fit.
    const path = '/api/cooks/cook-1/export.csv-metadata.json';
    expect((await bed.ask({ path })).status).toBe(200);
    const both = [
      bed.ask({ path: '/api/cooks/cook-1/export.csv' }),
      bed.ask({ path: '/api/cooks/cook-1/export.csv' }),
    ];
    for (const one of both) expect((await one).status).toBe(200);
  });
});

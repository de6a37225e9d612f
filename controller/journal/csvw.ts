import type { CookRow } from '../../shared/wire/record.ts';
import { type Column, neutralised } from './csv.ts';

/**
 * Describes a CSV export after the W3C Recommendation "Metadata Vocabulary for Tabular Data" (17 December
 * 2015): columns in order, each with its title exactly as in the header, its datatype and its unit. Units
 * are given as schema.org properties, for that vocabulary has none of its own. `csvUrl` is the address
 * of the CSV relative to this document.
 */
export function csvwOf(
  cook: CookRow,
  columns: readonly Column[],
  csvUrl: string,
  speed: number,
): Record<string, unknown> {
  const simulated = speed === 1 ? '' : ` A simulation that ran ${speed} times faster than real time.`;
  return {
    '@context': ['http://www.w3.org/ns/csvw', { '@language': 'en' }],
    url: csvUrl,
    'dc:title': cook.name,
    'dc:identifier': cook.cookId,
    'dc:created': new Date(cook.startedAtMs).toISOString(),
    'dc:description': `One row a second of the cook. Nothing is filled in: seconds without a sample have no row, values without a valid reading are empty.${simulated}`,
    dialect: {
      encoding: 'utf-8',
      delimiter: ',',
      quoteChar: '"',
      doubleQuote: true,
      lineTerminators: ['\r\n'],
      header: true,
    },
    tableSchema: {
      columns: columns.map(({ title, name, datatype, description, unit }) => ({
        titles: neutralised(title),
        name,
        datatype,
        'dc:description': description,
        ...(unit ? { 'schema:unitText': unit.text, 'schema:unitCode': unit.code } : {}),
      })),
      primaryKey: 'sequence',
    },
  };
}

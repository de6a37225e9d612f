import type { HandedRoute } from './serve/routes-handed.ts';
import { alarmEntries } from './tick/alarm/view.ts';

/** GET /api/alarms: the whole table of alarms, so that the page can list those that do not stand as well. */
export function alarmRoutes(): HandedRoute[] {
  const body = { alarms: alarmEntries() };
  return [
    {
      method: 'GET',
      path: '/api/alarms',
      needs: 'nothing',
      accepts: 'nothing',
      handle: () => ({ status: 200, type: 'json', body }),
    },
  ];
}

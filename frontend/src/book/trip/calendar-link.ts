/** The secret address of the calendar of what is due: turned on and off by the owner, kept nowhere on the phone. */
import { ways } from '../opening.ts';
import { unsafely } from './customers.ts';
import { ask } from './request.ts';
import type { SheetLink } from './sheet-link.ts';

/** Rejects as `ask`. */
export async function calendarLink(): Promise<SheetLink> {
  return (await ask<SheetLink>(ways, '/api/calendar-link', { anyShape: true })).said;
}

/** Rejects as `unsafely`. */
export const turnCalendarLink = (on: boolean): Promise<unknown> =>
  unsafely(on ? 'POST' : 'DELETE', '/api/calendar-link');

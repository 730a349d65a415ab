/** Time on the phone: corrected by the house's, never running backwards; and the farm's calendar day. Pure. */
import type { Day, Millis } from './contract.ts';

const DAY_MS = 86_400_000;

/** The stamp of the next entry: the phone's time, corrected, and always after this phone's last one. */
export const nextStamp = (clock: { now: Millis; offset: number; last: Millis }): Millis =>
  Math.max(clock.now + clock.offset, clock.last + 1);

/** How far the house's clock is ahead of the phone's: the house answered about halfway between asking and hearing. */
export const offsetOf = (houseTime: Millis, asked: Millis, heard: Millis): number =>
  Math.round(houseTime - (asked + heard) / 2);

const formats = new Map<string, Intl.DateTimeFormat>();

function formatIn(zone: string): Intl.DateTimeFormat {
  let format = formats.get(zone);
  if (!format) {
    format = new Intl.DateTimeFormat('en', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
    });
    formats.set(zone, format);
  }
  return format;
}

/** The calendar day of a moment in a zone. */
export function dayIn(zone: string, moment: Millis): Day {
  const parts = Object.fromEntries(
    formatIn(zone)
      .formatToParts(moment)
      .map((part) => [part.type, part.value]),
  );
  return `${parts.year}-${parts.month}-${parts.day}`;
}

export const daysBefore = (day: Day, days: number): Day =>
  new Date(Date.parse(`${day}T00:00:00Z`) - days * DAY_MS).toISOString().slice(0, 10);

/** The zone the phone itself keeps, until the farm's own is known. */
export const phoneZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone;

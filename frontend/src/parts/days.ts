/** Days and times in the device's own format, and how long ago something was. A day is text, `2026-03-14`, without a zone. */

const DAY_MS = 86_400_000;

export function dayNumber(day: string): number {
  return Date.parse(`${day}T00:00:00Z`) / DAY_MS;
}

/** Days from `a` to `b`; negative when b is earlier. */
export function daysFrom(a: string, b: string): number {
  return dayNumber(b) - dayNumber(a);
}

export function dayAfter(day: string, days: number): string {
  return new Date((dayNumber(day) + days) * DAY_MS).toISOString().slice(0, 10);
}

const formats = new Map<string, Intl.DateTimeFormat>();
function format(how: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = JSON.stringify(how);
  const made = formats.get(key) ?? new Intl.DateTimeFormat(undefined, how);
  formats.set(key, made);
  return made;
}

/** "14 Mar", with the year when it is not the year of `now`. */
export function showDay(day: string, now?: string): string {
  const year = now !== undefined && now.slice(0, 4) === day.slice(0, 4);
  return format({
    day: 'numeric',
    month: 'short',
    timeZone: 'UTC',
    ...(year ? {} : { year: 'numeric' }),
  }).format(dayNumber(day) * DAY_MS);
}

/** "Sat 14 Mar". */
export function showWeekday(day: string): string {
  return format({ weekday: 'short', day: 'numeric', month: 'short', timeZone: 'UTC' }).format(
    dayNumber(day) * DAY_MS,
  );
}

export function showTime(at_ms: number): string {
  return format({ hour: '2-digit', minute: '2-digit' }).format(at_ms);
}

function localDay(at_ms: number): string {
  const d = new Date(at_ms);
  const two = (n: number) => String(n).padStart(2, '0');
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
}

/** "06:40" today, "yesterday 18:02", "3 days ago", "14 Mar": as exact as is still of use. */
export function showWhen(at_ms: number, now_ms: number): string {
  const ago = daysFrom(localDay(at_ms), localDay(now_ms));
  if (ago <= 0) return showTime(at_ms);
  if (ago === 1) return `yesterday ${showTime(at_ms)}`;
  if (ago < 14) return `${ago} days ago`;
  return showDay(localDay(at_ms), localDay(now_ms));
}

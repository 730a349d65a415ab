/** How far a day is, and how old a bird is, as the trade says it. */
import { daysFrom } from './days.ts';

/** "today", "tomorrow", "in 5 days", "yesterday", "3 days ago". */
export function showDistance(day: string, today: string): string {
  const d = daysFrom(today, day);
  if (d === 0) return 'today';
  if (d === 1) return 'tomorrow';
  if (d === -1) return 'yesterday';
  return d > 0 ? `in ${d} days` : `${-d} days ago`;
}

/** "8 weeks 2 days", "41 days": an age as the trade says it. */
export function showAge(days: number): string {
  if (days < 14) return days === 1 ? '1 day' : `${days} days`;
  const weeks = Math.floor(days / 7);
  const left = days - weeks * 7;
  return left === 0 ? `${weeks} weeks` : `${weeks} weeks ${left} ${left === 1 ? 'day' : 'days'}`;
}

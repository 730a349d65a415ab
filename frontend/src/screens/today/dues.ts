/** Dues judged by the phone's own date (ruling 7): the house draws the days ahead, the phone says what is late. */
import type { BroodRow, Day, DueRow } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';

export type When = 'late' | 'now' | 'soon' | 'ahead';

/** Days ahead within which work is said to be soon. */
const SOON_DAYS = 14;

export function when(due: Pick<DueRow, 'first_day' | 'last_day'>, today: Day): When {
  if (daysFrom(due.last_day, today) > 0) return 'late';
  if (daysFrom(due.first_day, today) >= 0) return 'now';
  return daysFrom(today, due.first_day) <= SOON_DAYS ? 'soon' : 'ahead';
}

/** How many are left: the brood's own numbers, which know what this phone has not sent yet; else what the house last said. */
export function leftOf(due: Pick<DueRow, 'work' | 'subject' | 'left'>, broods: BroodRow[]): number | null {
  const brood = broods.find((b) => due.subject === `brood/${b.id}`);
  if (brood && due.work === 'sexing') return brood.unlooked;
  if (brood && due.work === 'look_again') return brood.unsure;
  return due.left;
}

/** What is to be done, by its last day; what is done or has nothing left is not shown. */
export function duesInOrder(
  dues: DueRow[],
  broods: BroodRow[],
  today: Day,
): { due: DueRow; when: When; left: number | null }[] {
  return dues
    .map((due) => ({ due, when: when(due, today), left: leftOf(due, broods) }))
    .filter((d) => !d.due.done && d.left !== 0 && d.when !== 'ahead')
    .sort((a, b) => a.due.last_day.localeCompare(b.due.last_day) || a.due.id.localeCompare(b.due.id));
}

/** "4 days late", "last day today", "11 days left", "in 5 days". */
export function howLong(due: DueRow, today: Day): { big: string; small: string } {
  const left = daysFrom(today, due.last_day);
  const state = when(due, today);
  if (state === 'late') return { big: 'late', small: left === -1 ? '1 day' : `${-left} days` };
  if (state === 'now')
    return left === 0
      ? { big: 'today', small: 'last day' }
      : { big: String(left), small: left === 1 ? 'day left' : 'days left' };
  const wait = daysFrom(today, due.first_day);
  return { big: `in ${wait}`, small: wait === 1 ? 'day' : 'days' };
}

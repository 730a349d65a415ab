/** How old what a page shows is. */
import { fetching, link, outbox } from '../../book/index.ts';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';

/** When the house was last heard. */
export function heard(): string {
  const { lastSyncedAt } = link.value;
  if (fetching.value) return 'being fetched';
  return lastSyncedAt === null
    ? 'nothing from the house yet'
    : `as of ${showWhen(lastSyncedAt, now_ms.value)}`;
}

/** How old what the page shows is: when the house was last heard, and what this phone added since. */
export function asOf(): string {
  const { waiting } = outbox.value;
  return waiting === 0 ? heard() : `${heard()}, and ${waiting} written here since`;
}

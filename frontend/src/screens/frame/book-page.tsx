import type { ComponentChildren } from 'preact';
import { link, outbox } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { Page } from '../../parts/page.tsx';

/** How old what the page shows is: when the house was last heard, and what this phone added since. */
export function asOf(): string {
  const { lastSyncedAt } = link.value;
  const { waiting } = outbox.value;
  if (lastSyncedAt === null) return 'nothing from the house yet';
  const heard = `as of ${showWhen(lastSyncedAt, now_ms.value)}`;
  return waiting === 0 ? heard : `${heard}, and ${waiting} since`;
}

interface Props {
  title: string;
  back?: { href: string; name: string };
  tool?: boolean;
  children: ComponentChildren;
}

/** A page that shows what stands in the book. */
export function BookPage(props: Props) {
  return <Page {...props} back={props.back ?? { href: '/', name: 'Today' }} age={asOf()} />;
}

export const waitingWords = (n: number) => `${amount(n, 'entry', 'entries')} on this phone`;

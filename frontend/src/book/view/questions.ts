/** What the owner is asked about entries that count all the same, told together where it is one question. Pure. */
import type { Id } from '../contract.ts';
import { compare } from '../order.ts';
import { type EntryView, isOf } from './entry-view.ts';

export interface Question {
  key: string;
  code: string;
  detail: string;
  /** What it is about, newest first; for `counted_twice` the counts of which one is right. */
  entries: EntryView[];
}

const TWICE = 'counted_twice';

const roundOf = (view: EntryView): string | null =>
  isOf(view, 'egg_count') ? `${TWICE} ${view.body.cage} ${view.day} ${view.body.round}` : null;

const answerKey = (id: Id, code: string): string => `${id} ${code}`;

/** What this phone's owner has found right, and the house has not said yet. */
const rightIn = (view: EntryView): string[] =>
  isOf(view, 'found_right') ? view.body.entries.map((id) => answerKey(id, view.body.code)) : [];

/** A band on two birds is one question, and all that a phone with a wrong clock wrote in a day. */
function keyOf(view: EntryView, code: string): string {
  if (code === 'clock_a_day_off') return `${code} ${view.author} ${view.day}`;
  if (code === 'band_used_twice')
    return `${code} ${(view.body as { brood?: Id }).brood} ${view.reason?.detail}`;
  return view.id;
}

/**
 * The open questions, newest first. `entries` are those that the house asks about, and this phone's own counts: one of them
 * that the house has not seen yet belongs to its round's question all the same.
 */
export function questionsIn(entries: readonly EntryView[]): Question[] {
  const standing = entries
    .filter((view) => !view.struck && view.place !== 'aside' && view.place !== 'waits')
    .sort((a, b) => compare(b, a));
  const right = new Set(standing.flatMap(rightIn));
  const counted = new Map<string, number>();
  for (const view of standing) {
    const round = roundOf(view);
    if (round !== null) counted.set(round, (counted.get(round) ?? 0) + 1);
  }
  const asked = new Map<string, Question>();
  for (const view of standing) {
    const round = roundOf(view);
    const twice = round !== null && (counted.get(round) ?? 0) > 1;
    const code = twice ? TWICE : view.reason?.code;
    // One count left is no clash any more, whatever the house said before the other was struck.
    if (code === undefined || (code === TWICE && !twice) || right.has(answerKey(view.id, code))) continue;
    const key = twice ? round : keyOf(view, code);
    const known = asked.get(key);
    if (known) known.entries.push(view);
    else asked.set(key, { key, code, detail: view.reason?.detail ?? '', entries: [view] });
  }
  return [...asked.values()];
}

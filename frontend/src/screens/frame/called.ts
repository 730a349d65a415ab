/**
 * What birds of a brood are called. A number once given stays with its bird. Two phones without signal may each give the same one: then
 * the name of who gave it stands beside it, and no bird is called otherwise than it was in the hand.
 */
import type { BirdRow, Id } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { showTime } from '../../parts/days.ts';

export type Whose = (bird: BirdRow) => string;

function sharing(birds: readonly BirdRow[]): Map<number, BirdRow[]> {
  const by = new Map<number, BirdRow[]>();
  for (const bird of birds) by.set(bird.number, [...(by.get(bird.number) ?? []), bird]);
  for (const [number, all] of by) if (all.length === 1) by.delete(number);
  return by;
}

/** "Tam Orrin’s" for a number that several birds share; by one person on two phones "of 10:04"; else nothing. */
export function whoseNumber(birds: readonly BirdRow[], who: (person: Id) => string): Whose {
  const shared = sharing(birds);
  return (bird) => {
    const all = shared.get(bird.number);
    if (!all) return '';
    if (bird.numbered_by == null) return 'of this phone';
    if (all.filter((b) => b.numbered_by === bird.numbered_by).length === 1)
      return `${who(bird.numbered_by)}’s`;
    return bird.numbered_at == null ? '' : `of ${showTime(bird.numbered_at)}`;
  };
}

/** One sentence for the brood; null when every number is its bird's own. */
export function sharedWords(birds: readonly BirdRow[], who: (person: Id) => string): string | null {
  const shared = sharing(birds);
  if (shared.size === 0) return null;
  const givers = [...new Set([...shared.values()].flat().flatMap((b) => b.numbered_by ?? []))].map(who);
  const by = givers.length > 1 ? `${givers.slice(0, -1).join(', ')} and ${givers.at(-1)}` : 'two phones';
  return `${amount(shared.size, 'number')} ${shared.size === 1 ? 'was' : 'were'} given by ${by} at the same time without signal. Each bird keeps its number, with the name of who gave it.`;
}

/** The number for the next bird: after the one given last on this page, or after the highest; never one that is given. */
export function nextNumber(birds: readonly BirdRow[], last?: number | null): number {
  if (last == null) return birds.reduce((most, b) => Math.max(most, b.number), 0) + 1;
  const taken = new Set(birds.map((b) => b.number));
  let next = last + 1;
  while (taken.has(next)) next += 1;
  return next;
}

/** Which birds of a brood go where at the end of sexing day, and the entries that say so. Pure. */
import type { BirdRow, Bodies, BroodRow, Id } from '../../book/index.ts';

export type Which = 'all' | 'keep';

/** Birds of that sex still here and not in a cage by their ids. */
export const toMove = (birds: readonly BirdRow[], sex: 'hen' | 'cock', which: Which): BirdRow[] =>
  birds.filter(
    (b) => b.sex === sex && b.gone === null && b.cage === null && (which === 'all' || b.decision === 'keep'),
  );

/** Birds placed from the brood by number only: nobody said which, so those left cannot all be named. */
export function placedUnnamed(brood: Pick<BroodRow, 'placed'>, birds: readonly BirdRow[]): number {
  const named = birds.filter((b) => b.cage !== null && b.gone === null).length;
  return Math.max(0, brood.placed - named);
}

export interface Going {
  cage: Id;
  hens: BirdRow[];
  cocks: BirdRow[];
}

/** One body a cage: hens and cocks that go to the same one stand in one entry. */
export function placings(
  brood: Id,
  {
    hens,
    cocks,
  }: { hens: { cage: Id; birds: BirdRow[] } | null; cocks: { cage: Id; birds: BirdRow[] } | null },
): Bodies['birds_placed'][] {
  const by = new Map<Id, Going>();
  const at = (cage: Id) => {
    const going = by.get(cage) ?? { cage, hens: [], cocks: [] };
    by.set(cage, going);
    return going;
  };
  if (hens && hens.birds.length > 0) at(hens.cage).hens = hens.birds;
  if (cocks && cocks.birds.length > 0) at(cocks.cage).cocks = cocks.birds;
  return [...by.values()].map((going) => ({
    cage: going.cage,
    brood,
    from_cage: null,
    hens: going.hens.length,
    cocks: going.cocks.length,
    unsexed: 0,
    birds: [...going.hens, ...going.cocks].map(({ id }) => ({ bird: id, brood })),
  }));
}

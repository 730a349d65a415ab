/** Looking up and adding in the table of coancestries that the house sent. Stands are replaced, never changed in place. */
import type { Id } from '../../book/index.ts';
import type { MatingPage, MatingStand } from '../../book/mating-page.ts';

export interface Pair {
  cock: Id;
  hen: Id;
  /** The inbreeding of their chicks. */
  coancestry: number;
}

type Table = Pick<MatingPage, 'cocks' | 'hens' | 'coancestry'>;

export function coancestryOf(
  { cocks = [], hens = [], coancestry = [] }: Table,
  cock: Id,
  hen: Id,
): number | null {
  return coancestry[cocks.indexOf(cock)]?.[hens.indexOf(hen)] ?? null;
}

/** Every pair that the stands put together, of birds that the table holds. */
export function pairsOf(table: Table, stands: readonly MatingStand[]): Pair[] {
  return stands.flatMap(({ cocks, hens }) =>
    cocks.flatMap((cock) =>
      hens.flatMap((hen) => {
        const coancestry = coancestryOf(table, cock, hen);
        return coancestry === null ? [] : [{ cock, hen, coancestry }];
      }),
    ),
  );
}

/** Inbreeding expected of the chicks: each hen's mean with the cocks of her cage, hens alike; null where no hen has one. */
export function expected(table: Table, stands: readonly MatingStand[]): number | null {
  let sum = 0;
  let hens = 0;
  for (const stand of stands)
    for (const hen of stand.hens) {
      const those = stand.cocks.flatMap((cock) => coancestryOf(table, cock, hen) ?? []);
      if (those.length === 0) continue;
      sum += those.reduce((a, b) => a + b, 0) / those.length;
      hens += 1;
    }
  return hens === 0 ? null : sum / hens;
}

export function worst(table: Table, stands: readonly MatingStand[]): Pair | null {
  return pairsOf(table, stands).reduce<Pair | null>(
    (most, pair) => (most === null || pair.coancestry > most.coancestry ? pair : most),
    null,
  );
}

/** Two birds of one sex change places; one of them may stand nowhere. */
export function swapped(stands: readonly MatingStand[], bird: Id, other: Id): MatingStand[] {
  const change = (ids: Id[]) => ids.map((id) => (id === bird ? other : id === other ? bird : id));
  return stands.map((stand) => ({ ...stand, cocks: change(stand.cocks), hens: change(stand.hens) }));
}

/** As the birds stand now, in the cages of the plan. */
export function asTheyStand(page: MatingPage, cageOf: (bird: Id) => Id | null): MatingStand[] {
  return (page.cages ?? []).map(({ cage }) => ({
    cage,
    cocks: (page.cocks ?? []).filter((bird) => cageOf(bird) === cage),
    hens: (page.hens ?? []).filter((bird) => cageOf(bird) === cage),
  }));
}

export interface Placing {
  cage: Id;
  brood: Id | null;
  from_cage: Id | null;
  hens: number;
  cocks: number;
  unsexed: number;
  birds: { bird: Id; brood: Id }[];
}

/** The entries that bring a cage's birds there, one for each place they come from. Those that stand there stay. */
export function placings(
  page: Pick<MatingPage, 'birds'>,
  { cage, cocks, hens }: MatingStand,
  cageOf: (bird: Id) => Id | null,
): Placing[] {
  const found = new Map<string, Placing>();
  for (const id of [...cocks, ...hens]) {
    const bird = page.birds.find((each) => each.bird === id);
    const from = cageOf(id);
    if (!bird || from === cage) continue;
    const source = from ?? bird.brood;
    const now = found.get(source) ?? {
      cage,
      brood: from === null ? bird.brood : null,
      from_cage: from,
      hens: 0,
      cocks: 0,
      unsexed: 0,
      birds: [],
    };
    found.set(source, {
      ...now,
      [bird.sex === 'cock' ? 'cocks' : 'hens']: now[bird.sex === 'cock' ? 'cocks' : 'hens'] + 1,
      birds: [...now.birds, { bird: id, brood: bird.brood }],
    });
  }
  return [...found.values()];
}

/** What stands in the barn, as the kinds read and change it. Rows are replaced, never changed in place. */
import type {
  BirdRow,
  BroodRow,
  CageRow,
  Day,
  EggStoreRow,
  FarmRow,
  HatchReport,
  Id,
  LineRow,
  OrderRow,
  SettingRow,
  ShipmentRow,
  TrayRow,
  WithdrawalRow,
} from '../contract.ts';

export interface Barn {
  farm: FarmRow | null;
  lines: Map<Id, LineRow>;
  cages: Map<Id, CageRow>;
  broods: Map<Id, BroodRow>;
  birds: Map<Id, BirdRow>;
  settings: Map<Id, SettingRow>;
  trays: Map<Id, TrayRow>;
  withdrawals: Map<Id, WithdrawalRow>;
  store: Map<string, EggStoreRow>;
  orders: Map<Id, OrderRow>;
  shipments: Map<Id, ShipmentRow>;
}

export interface Heads {
  hens: number;
  cocks: number;
  unsexed: number;
}

/** What a kind needs of an entry to let it stand. */
export interface Written<B> {
  day: Day;
  body: B;
}

/**
 * A pulled entry struck on this phone: its effect is in the pulled rows and has to come out of them.
 * before: the newest earlier entry of the kind about the same thing, where this phone has it; last: none came after it.
 */
export interface Struck<B> extends Written<B> {
  before: Written<B> | null;
  last: boolean;
}

export const NO_REPORT: HatchReport = {
  lines: [],
  by_customer: false,
  first_on: null,
  last_on: null,
  times: 0,
  contradicts: false,
  closed_on: null,
  aside_on: null,
  aside_why: '',
};

export function putRow<R extends { id: Id }>(rows: Map<Id, R>, id: Id, change: Partial<R>): void {
  const row = rows.get(id);
  if (row) rows.set(id, { ...row, ...change });
}

export const total = (heads: Heads): number => heads.hens + heads.cocks + heads.unsexed;

/** Adds birds to a cage (or takes them away with times = -1), and keeps since when there have been any. */
export function moveHeads(barn: Barn, cage: Id, heads: Heads, day: Day, times: 1 | -1): void {
  const row = barn.cages.get(cage);
  if (!row) return;
  const now = {
    hens: row.hens + times * heads.hens,
    cocks: row.cocks + times * heads.cocks,
    unsexed: row.unsexed + times * heads.unsexed,
  };
  barn.cages.set(cage, { ...row, ...now, stocked_on: stockedOn(row, now, day) });
}

export function stockedOn(before: CageRow, now: Heads, day: Day): Day | null {
  if (total(now) <= 0) return null;
  return total(before) <= 0 ? day : before.stocked_on;
}

/** The bird of that id; one not seen before is called as its entry says, or takes the next number of its brood. */
export function birdOf(barn: Barn, bird: Id, brood: Id, called?: number | null): BirdRow {
  const known = barn.birds.get(bird);
  if (known) return known;
  let last = 0;
  if (called == null)
    for (const other of barn.birds.values()) if (other.brood === brood) last = Math.max(last, other.number);
  const fresh: BirdRow = {
    id: bird,
    brood,
    number: called ?? last + 1,
    band: null,
    sex: 'unsexed',
    looked_on: null,
    guess: null,
    guessed_by: null,
    guessed_on: null,
    last_weight_g: null,
    weighed_on: null,
    decision: null,
    decided_on: null,
    cage: null,
    placed_on: null,
    gone: null,
    gone_on: null,
  };
  barn.birds.set(bird, fresh);
  return fresh;
}

export const TALLY = { hen: 'hens', cock: 'cocks', unsure: 'unsure' } as const;

/** Lets a bird be of another sex, and carries it over in its brood's tallies. */
export function readSex(barn: Barn, bird: BirdRow, sex: BirdRow['sex'], looked_on: Day | null): void {
  barn.birds.set(bird.id, { ...bird, sex, looked_on });
  const brood = barn.broods.get(bird.brood);
  if (!brood || sex === bird.sex) return;
  const read = { ...brood };
  if (bird.sex !== 'unsexed') read[TALLY[bird.sex]] -= 1;
  if (sex !== 'unsexed') read[TALLY[sex]] += 1;
  barn.broods.set(brood.id, { ...read, unlooked: brood.unlooked - (lookedIn(read) - lookedIn(brood)) });
}

/** Birds of it that were looked at one by one and are here. */
export const lookedIn = (brood: BroodRow): number => brood.hens + brood.cocks + brood.unsure;

/** Birds of the brood were put into a cage as hens or cocks, or not after all: how many are to be looked at now. */
export function unlookedAfterPlacing(brood: BroodRow, sexed: number): number {
  if (brood.bought_in) return brood.unlooked;
  // First those looked at here and not placed yet are meant; only what is beyond them was known without a look.
  const placedBefore = sexed < 0 ? brood.placed + sexed : brood.placed;
  const beyond = Math.max(0, Math.abs(sexed) - Math.max(0, lookedIn(brood) - placedBefore));
  return sexed < 0 ? brood.unlooked + beyond : brood.unlooked - beyond;
}

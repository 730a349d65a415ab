/** The walk past the cages: which are in it, what this round says of each, and which comes next. Nothing here draws. */
import type { CageRow, Id, RoundInCage } from '../../book/index.ts';
import type { StripCage } from '../../parts/cage-strip.tsx';

export type Found = ReadonlyMap<Id, ReadonlyMap<string, RoundInCage>>;

export interface Stop extends StripCage {
  row: string;
  /** Two counts of one round: until one is struck, neither counts. */
  clash: boolean;
  /** The house asks about a count of it. */
  asked: boolean;
}

const mayLay = (cage: CageRow) => cage.hens + cage.unsexed > 0;

/** Cages in walking order: those that may lay, and any that was counted all the same. */
export function walk(cages: CageRow[], found: Found, round: string): Stop[] {
  return cages
    .filter((cage) => !cage.closed && (mayLay(cage) || found.get(cage.id)?.has(round)))
    .map((cage) => {
      const there = found.get(cage.id)?.get(round);
      return {
        id: cage.id,
        code: cage.code,
        row: cage.row,
        count: there?.eggs ?? null,
        passed: there !== undefined && there.counts.length === 0 && there.passed !== null,
        clash: there?.clash ?? false,
        asked: there?.counts.some((count) => count.reason !== null) ?? false,
      };
    });
}

export function withoutHens(cages: CageRow[], found: Found, round: string): CageRow[] {
  return cages.filter((cage) => !cage.closed && !mayLay(cage) && !found.get(cage.id)?.has(round));
}

export const open = (stop: Stop) => stop.count === null && !stop.passed && !stop.clash;

/** The next cage nobody has counted, onward from `after`; null when the walk has come to its end. */
export function nextOpen(stops: Stop[], after: Id | null): Id | null {
  const at = stops.findIndex((stop) => stop.id === after);
  return stops.slice(at + 1).find(open)?.id ?? null;
}

export interface Sum {
  counted: number;
  eggs: number;
  passed: Stop[];
  open: Stop[];
  clashes: Stop[];
}

export function sumUp(stops: Stop[]): Sum {
  const counted = stops.filter((stop) => stop.count !== null);
  return {
    counted: counted.length,
    eggs: counted.reduce((sum, stop) => sum + (stop.count ?? 0), 0),
    passed: stops.filter((stop) => stop.passed),
    open: stops.filter(open),
    clashes: stops.filter((stop) => stop.clash),
  };
}

/** Which round a person means at this hour: the day shared out among the farm's rounds in their order. */
export function roundAt<R>(rounds: R[], hour: number): R | undefined {
  return rounds[Math.min(rounds.length - 1, Math.floor((hour * rounds.length) / 24))];
}

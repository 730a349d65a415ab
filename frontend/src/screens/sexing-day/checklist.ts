/** The checklist of a brood: which birds are still to be looked at, and where the brood stands in its window. Nothing here draws. */
import type { BirdRow, BroodRow, Day, LineRow } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';

export interface Window {
  age_days: number;
  from: number;
  to: number;
  /** `again`: every bird was looked at, some are to be looked at again. Late are only those nobody has looked at. */
  state: 'early' | 'open' | 'late' | 'again';
}

/** The sexing window counts from the hatch, both ends in. Without the line on this phone: day 42 to 56. */
export function windowOf(brood: BroodRow, line: LineRow | undefined, today: Day): Window {
  const from = line?.sexing_from_day ?? 42;
  const to = line?.sexing_to_day ?? 56;
  const age_days = daysFrom(brood.hatched_on, today);
  const state =
    brood.unlooked <= 0 && brood.unsure > 0
      ? 'again'
      : age_days < from
        ? 'early'
        : age_days > to
          ? 'late'
          : 'open';
  return { age_days, from, to, state };
}

/** Birds that nobody has looked at, and those that come up again. How many are left is `unlooked` alone. */
export const toLookAt = (brood: BroodRow): number => Math.max(0, brood.unlooked) + brood.unsure;

/** Not sure at the last look: they come up again. */
export const unsure = (birds: BirdRow[]): BirdRow[] =>
  birds.filter((b) => b.sex === 'unsure' && b.gone === null);
/** Known to the book (weighed, banded), but nobody has looked. */
export const unlooked = (birds: BirdRow[]): BirdRow[] =>
  birds.filter((b) => b.sex === 'unsexed' && b.gone === null);

/**
 * The bird to take in the hand: one that the book does not know yet (null) while there are any, then those it knows but nobody has
 * looked at, then those to look at again. `done` when there is none of these.
 */
export function nextInHand(brood: BroodRow, birds: BirdRow[]): BirdRow | null | 'done' {
  // Where none is left, a bird known by itself was placed as a hen or a cock.
  const known = brood.unlooked > 0 ? unlooked(birds) : [];
  if (brood.unlooked > known.length) return null;
  return known[0] ?? unsure(birds)[0] ?? 'done';
}

/** The bird of this brood that wears the band; bands are compared without regard to spaces and case. */
export function banded(birds: BirdRow[], band: string): BirdRow | undefined {
  const bare = (text: string) => text.replace(/\s+/g, '').toLowerCase();
  return bare(band) === '' ? undefined : birds.find((b) => b.band !== null && bare(b.band) === bare(band));
}

/** Broods with birds to look at, the one whose window closes first before the others. */
export function broodsToSex(
  broods: BroodRow[],
  lines: LineRow[],
  today: Day,
): { brood: BroodRow; window: Window }[] {
  return broods
    .filter((brood) => toLookAt(brood) > 0)
    .map((brood) => ({
      brood,
      window: windowOf(
        brood,
        lines.find((l) => l.id === brood.line),
        today,
      ),
    }))
    .sort((a, b) => a.window.to - a.window.age_days - (b.window.to - b.window.age_days));
}

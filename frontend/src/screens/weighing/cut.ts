/** Where a bird stands on its weigh day: over or under its line's cut, and its place among those weighed of its sex. Counts and differences only. */
import type { BirdRow, Day, LineRow } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';

/** A weight further off the weighing age than this is no weigh day's weight. */
export const BEFORE_DAYS = 7;
export const AFTER_DAYS = 14;

export function isWeighDay(line: Pick<LineRow, 'weighing_age_days'> | undefined, age_days: number): boolean {
  const off = age_days - (line?.weighing_age_days ?? 56);
  return -BEFORE_DAYS <= off && off <= AFTER_DAYS;
}

export interface Place {
  /** 1 is the heaviest; birds of one weight share a place. */
  rank: number;
  of: number;
}

export interface Standing {
  /** Over the cut when above 0; null when the line has no cut for that sex, or the sex is not known. */
  over_g: number | null;
  cut_g: number | null;
  place: Place | null;
}

const CUTS = { cock: 'cock_cut_g', hen: 'hen_cut_g' } as const;

/** Weighed within this weigh day: on `day`, or in the seven days before it. */
export const weighedNow = (bird: BirdRow, day: Day): boolean =>
  bird.weighed_on !== null && bird.last_weight_g !== null && Math.abs(daysFrom(bird.weighed_on, day)) <= 7;

export function standingOf(
  bird: BirdRow,
  { birds, line, day }: { birds: readonly BirdRow[]; line: LineRow | undefined; day: Day },
): Standing {
  const { sex, last_weight_g: grams } = bird;
  if (grams === null || (sex !== 'cock' && sex !== 'hen')) return { over_g: null, cut_g: null, place: null };
  const cut_g = line?.[CUTS[sex]] ?? null;
  const among = birds.filter((b) => b.sex === sex && b.gone === null && weighedNow(b, day));
  const heavier = among.filter((b) => (b.last_weight_g ?? 0) > grams).length;
  return {
    cut_g,
    over_g: cut_g === null ? null : grams - cut_g,
    place: { rank: heavier + 1, of: Math.max(among.length, heavier + 1) },
  };
}

/** Where a bird stands on its weigh day: over or under its line's cut, and its place among those weighed of its sex. Counts and differences only. */
import type { BirdRow, Day, LineRow } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';
import { type AtStandardAge, atStandardAge, type GrowthOfLine } from './standard-age.ts';

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
  /** The weight at the line's weighing age, which is what is held against the cut; null: as weighed, nothing tells it. */
  adjusted: AtStandardAge | null;
}

export interface WeighDay {
  birds: readonly BirdRow[];
  line: LineRow | undefined;
  hatched_on: Day;
  table: GrowthOfLine | null;
  day: Day;
}

const CUTS = { cock: 'cock_cut_g', hen: 'hen_cut_g' } as const;
const NOTHING: Standing = { over_g: null, cut_g: null, place: null, adjusted: null };

/** Weighed within this weigh day: on `day`, or in the seven days before it. */
export const weighedNow = (bird: BirdRow, day: Day): boolean =>
  bird.weighed_on !== null && bird.last_weight_g !== null && Math.abs(daysFrom(bird.weighed_on, day)) <= 7;

/** How any bird of this weigh day stands: its sex is ranked once, for all of them. Weights are those at the weighing age. */
export function standings({ birds, line, hatched_on, table, day }: WeighDay): (bird: BirdRow) => Standing {
  const on = { hatched_on, table, standard_age_days: line?.weighing_age_days ?? 56 };
  const counted = (bird: BirdRow) => atStandardAge(bird, on)?.grams ?? bird.last_weight_g ?? 0;
  const of_sex = (sex: 'cock' | 'hen') =>
    birds
      .filter((b) => b.sex === sex && b.gone === null && weighedNow(b, day))
      .map(counted)
      .sort((a, b) => b - a);
  const ranked = { cock: of_sex('cock'), hen: of_sex('hen') };
  return (bird) => {
    const { sex } = bird;
    if (bird.last_weight_g === null || (sex !== 'cock' && sex !== 'hen')) return NOTHING;
    const grams = counted(bird);
    const cut_g = line?.[CUTS[sex]] ?? null;
    const at = ranked[sex].findIndex((other) => other <= grams);
    const heavier = at < 0 ? ranked[sex].length : at;
    return {
      cut_g,
      over_g: cut_g === null ? null : grams - cut_g,
      place: { rank: heavier + 1, of: Math.max(ranked[sex].length, heavier + 1) },
      adjusted: atStandardAge(bird, on),
    };
  };
}

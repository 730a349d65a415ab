/**
 * A weight carried to the line's weighing age, by the house's table of factors: the phone multiplies and computes nothing. Days that the
 * line's own growth does not reach have a stated factor, and say so; without a table, or further off, the weight stands as it was weighed.
 */
import { type BirdRow, type Day, type FigureRow, type Id, rowsOfTable } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';

/** [age in days, mean, low, high], in grams. */
export type GrowthPoint = [number, number, number, number];

export interface GrowthOfSex {
  factors: { age_days: number; factor: number; own: boolean }[];
  curve: GrowthPoint[];
  birds: number;
  figure: Omit<FigureRow, 'id' | 'subject' | 'computed_at'>;
}

/** The body of `weighing/<line>`: docs/wire.md. */
export interface GrowthOfLine {
  standard_age_days: number;
  reach_days: number;
  /** Where the stated factors come from. */
  stated: string;
  sexes: { cock: GrowthOfSex; hen: GrowthOfSex };
}

export interface GrowthTable {
  body: GrowthOfLine;
  computed_at: number;
}

/** Null until the house has sent it. */
export function growthTable(line: Id): GrowthTable | null {
  const row = rowsOfTable('figure_table').value.find((each) => each.id === `weighing/${line}`);
  return row ? { body: row.body as GrowthOfLine, computed_at: row.computed_at } : null;
}

export interface AtStandardAge {
  grams: number;
  /** None: weighed on the day itself. */
  by: 'none' | 'own' | 'stated';
  age_days: number;
  standard_age_days: number;
}

interface On {
  hatched_on: Day;
  table: GrowthOfLine | null;
  standard_age_days: number;
}

/** The weight of a bird last weighed, at the standard age; null when it cannot be said. */
export function atStandardAge(
  bird: Pick<BirdRow, 'sex' | 'last_weight_g' | 'weighed_on'>,
  { hatched_on, table, standard_age_days }: On,
): AtStandardAge | null {
  const { sex, last_weight_g: grams, weighed_on } = bird;
  if (grams === null || weighed_on === null || (sex !== 'cock' && sex !== 'hen')) return null;
  const age_days = daysFrom(hatched_on, weighed_on);
  if (age_days === standard_age_days) return { grams, by: 'none', age_days, standard_age_days };
  // A line whose weighing age was just changed on this phone: the table that is here is for another day.
  if (table?.standard_age_days !== standard_age_days) return null;
  const found = table.sexes[sex].factors.find((each) => each.age_days === age_days);
  if (!found) return null;
  return { grams: grams * found.factor, by: found.own ? 'own' : 'stated', age_days, standard_age_days };
}

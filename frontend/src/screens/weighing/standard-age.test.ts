import { describe, expect, test } from 'vitest';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { atStandardAge, type GrowthOfLine, type GrowthOfSex } from './standard-age.ts';

const missing: GrowthOfSex['figure'] = {
  name: 'weight_at_standard_age',
  span: '56d',
  unit: 'g',
  value: null,
  low: null,
  high: null,
  n: 0,
  n_of: 'weighings',
  first_day: null,
  last_day: null,
  method: '',
  left_out: [],
  missing: null,
  notes: [],
};
const of_sex = (factors: GrowthOfSex['factors']): GrowthOfSex => ({
  factors,
  curve: [],
  birds: 0,
  figure: missing,
});
const table: GrowthOfLine = {
  standard_age_days: 56,
  reach_days: 7,
  stated: 'somewhere',
  sexes: {
    cock: of_sex([{ age_days: 52, factor: 1.05, own: false }]),
    hen: of_sex([
      { age_days: 52, factor: 1.04, own: true },
      { age_days: 58, factor: 0.98, own: true },
    ]),
  },
};
// Hatched 1 May: day 52 is 22 June, day 56 is 26 June, day 58 is 28 June, day 64 is 4 July.
const on = { hatched_on: '2026-05-01', table, standard_age_days: 56 };
const bird = (sex: 'hen' | 'cock' | 'unsure', weighed_on: string, last_weight_g = 300) => ({
  ...UNKNOWN_BIRD,
  sex,
  weighed_on,
  last_weight_g,
});

describe('a weight at the standard age', () => {
  test('is the weight itself on the day', () => {
    expect(atStandardAge(bird('hen', '2026-06-26'), on)).toMatchObject({ grams: 300, by: 'none' });
  });
  test('is multiplied by the factor of that day and sex', () => {
    expect(atStandardAge(bird('hen', '2026-06-22'), on)).toMatchObject({ by: 'own', age_days: 52 });
    expect(atStandardAge(bird('hen', '2026-06-22'), on)?.grams).toBeCloseTo(312);
    expect(atStandardAge(bird('hen', '2026-06-28'), on)?.grams).toBeCloseTo(294);
    expect(atStandardAge(bird('cock', '2026-06-22'), on)).toMatchObject({ by: 'stated' });
    expect(atStandardAge(bird('cock', '2026-06-22'), on)?.grams).toBeCloseTo(315);
  });
  test('is not said further off, without a table, for another weighing age, or of a bird whose sex is not known', () => {
    expect(atStandardAge(bird('hen', '2026-07-04'), on)).toBeNull();
    expect(atStandardAge(bird('hen', '2026-06-22'), { ...on, table: null })).toBeNull();
    expect(atStandardAge(bird('hen', '2026-06-22'), { ...on, standard_age_days: 63 })).toBeNull();
    expect(atStandardAge(bird('unsure', '2026-06-26'), on)).toBeNull();
  });
});

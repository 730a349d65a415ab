/**
 * What trials found of eggs kept before setting. They contradict one another, so the store's own temperature is asked
 * for, and no loss for a day is given.
 */
export interface Trial {
  from_c: number;
  to_c: number;
  found: string;
  source: string;
}

export const TRIALS: readonly Trial[] = [
  {
    from_c: 4,
    to_c: 4,
    found: 'Hatch of 84.5, 79.5, 74 and 69 % after 0, 3, 5 and 7 days.',
    source: 'acemap 288889942',
  },
  {
    from_c: 7.5,
    to_c: 7.5,
    found: 'Still 75 % hatched after 20 days, at 50 % moisture.',
    source: 'lrrd 20/10',
  },
  {
    from_c: 15.8,
    to_c: 15.8,
    found: 'Nothing lost in 28 days at 80 % moisture; half of it at 35 days.',
    source: 'doi 10.3390/ani13132184',
  },
  {
    from_c: 25,
    to_c: 29,
    found: '72.3 % when fresh, a sharp fall after 9 days, none past 11.',
    source: 'IJPS 2008 7:350',
  },
  { from_c: 28, to_c: 28, found: '70 % after 6 days.', source: 'lrrd 22/1' },
];

export const ADVICE: readonly Trial[] = [
  {
    from_c: 10,
    to_c: 18.3,
    found: 'At most one week, at 70 % moisture; they fail past two.',
    source: 'Mississippi State University Extension, 50 to 65 °F',
  },
  {
    from_c: 11,
    to_c: 17,
    found: 'At most 7 days, at 60 to 80 % moisture, the large end up.',
    source: 'Shim Kim Fah, 14 ± 3 °C',
  },
];

const off = ({ from_c, to_c }: Trial, at_c: number): number => Math.max(from_c - at_c, at_c - to_c, 0);

/** The trials nearest in temperature to the store: two of them, the nearest first. */
export function nearest(at_c: number): Trial[] {
  return [...TRIALS].sort((a, b) => off(a, at_c) - off(b, at_c)).slice(0, 2);
}

export const degrees = ({ from_c, to_c }: Trial): string =>
  from_c === to_c ? `${from_c} °C` : `${from_c}–${to_c} °C`;

import { describe, expect, it } from 'vitest';
import { running } from './running.ts';

const band = { low_g: 14, high_g: 16 };

describe('eggs on the scale', () => {
  it('gives a mean over all eggs, several at once weighing as many', () => {
    const sum = running(
      [
        { eggs: 1, grams: 15 },
        { eggs: 4, grams: 50 },
      ],
      band,
    );
    expect(sum.eggs).toBe(5);
    expect(sum.mean_g).toBe(13);
  });
  it('counts inside the band, ends in, only what was weighed one by one', () => {
    const sum = running(
      [
        { eggs: 1, grams: 14 },
        { eggs: 1, grams: 16 },
        { eggs: 1, grams: 16.1 },
        { eggs: 2, grams: 30 },
      ],
      band,
    );
    expect([sum.band?.inside, sum.singles]).toEqual([2, 3]);
  });
  it('says nothing where nothing was weighed or no band is set', () => {
    expect(running([], band).mean_g).toBeNull();
    expect(running([{ eggs: 1, grams: 15 }], { low_g: null, high_g: 16 }).band).toBeNull();
  });
});

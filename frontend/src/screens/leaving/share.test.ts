import { describe, expect, it } from 'vitest';
import { dressingShare, PLUCK, shareDoubt } from './share.ts';

describe('the dressing share', () => {
  it('is dressed over live, and nothing until both are there', () => {
    expect(dressingShare(300, 210)).toBe(70);
    expect(dressingShare(300, null)).toBeNull();
    expect(dressingShare(null, 210)).toBeNull();
  });
  it('is asked about once when it is far off', () => {
    // Lukanov & Genchev 2018: 55.5 to 62.4 % without skin.
    expect([56, 62, 75].map(shareDoubt)).toEqual([null, null, null]);
    expect(shareDoubt(30)).toMatch(/30 %/);
    expect(shareDoubt(110)).toMatch(/more than it weighed alive/);
  });
  it('has every step of the pluck in words', () => {
    expect(PLUCK.map((p) => p.value)).toEqual(['5', '4', '3', '2', '1']);
  });
});

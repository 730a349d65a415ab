import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { bandRun, wearers } from './band-run.ts';

const bird = (number: number, over: Partial<BirdRow> = {}): BirdRow => ({
  ...UNKNOWN_BIRD,
  id: `b${number}`,
  brood: 'b',
  number,
  ...over,
});

describe('bands in a run', () => {
  it('counts on from the last number and keeps its zeros', () => {
    expect(bandRun('R08', 4, []).bands).toEqual(['R08', 'R09', 'R10', 'R11']);
    expect(bandRun('26-3', 2, []).bands).toEqual(['26-3', '26-4']);
  });
  it('says when a bird wears one already, and lets a gone bird’s be used again', () => {
    expect(bandRun('r8', 2, [bird(3, { band: 'R9' })]).wrong).toMatch(/^Band R9 is on bird 3/);
    expect(bandRun('r8', 2, [bird(3, { band: 'R9', gone: 'dead' })]).wrong).toBeNull();
  });
  it('needs a number for more than one bird', () => {
    expect(bandRun('red', 2, []).wrong).toMatch(/no number/);
    expect(bandRun('red', 1, []).bands).toEqual(['red']);
  });
  it('goes on birds of the group without a band, then on birds new to the book', () => {
    const birds = [
      bird(2, { sex: 'hen' }),
      bird(1, { sex: 'hen' }),
      bird(3, { sex: 'hen', band: 'R1' }),
      bird(4),
    ];
    expect(wearers(birds, 'hen', 3).map((b) => b?.number ?? null)).toEqual([1, 2, null]);
    expect(wearers(birds, 'unsexed', 1).map((b) => b?.number)).toEqual([4]);
  });
});

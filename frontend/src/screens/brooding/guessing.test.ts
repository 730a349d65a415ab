import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { answersBy, scores } from './guessing.ts';

const bird = (over: Partial<BirdRow>): BirdRow => ({
  ...UNKNOWN_BIRD,
  id: 'x',
  brood: 'b',
  number: 1,
  ...over,
});

describe('an early guess', () => {
  it('by foam is a cock or not sure, never a hen', () => {
    expect(answersBy('foam').map((a) => a.guess)).toEqual(['cock', 'unsure']);
    expect(answersBy('feathers').map((a) => a.guess)).toContain('hen');
  });
  it('is scored only once the bird was sexed, by what was seen', () => {
    const birds = [
      bird({ guess: 'cock', guessed_by: 'feathers', sex: 'cock' }),
      bird({ guess: 'hen', guessed_by: 'feathers', sex: 'cock' }),
      bird({ guess: 'unsure', guessed_by: 'foam', sex: 'hen' }),
      bird({ guess: 'cock', guessed_by: 'foam', sex: 'unsexed' }),
      bird({ guess: 'cock', guessed_by: 'foam', sex: 'unsure' }),
      bird({ guess: 'cock', guessed_by: 'voice', sex: 'cock' }),
    ];
    expect(scores(birds)).toEqual([
      { by: 'feathers', right: 1, of: 2 },
      { by: 'voice', right: 1, of: 1 },
    ]);
  });
});

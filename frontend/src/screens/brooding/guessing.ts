/** Early guesses of sex: what may be said by what was seen, and how the guesses came out once a bird was looked at. Counts only. */
import type { BirdRow, Bodies } from '../../book/index.ts';

export type By = Bodies['sex_guessed']['by'];
export type Guess = Bodies['sex_guessed']['guess'];

export interface Answer {
  guess: Guess;
  name: string;
  detail: string;
}

/** By foam a bird is a cock, or nothing is known: a cock may show none until week 10 (docs/wire.md). */
export function answersBy(by: By): Answer[] {
  if (by === 'foam')
    return [
      { guess: 'cock', name: 'Foam seen', detail: 'a cock' },
      { guess: 'unsure', name: 'No foam', detail: 'not sure' },
    ];
  return [
    { guess: 'cock', name: 'Cock', detail: '' },
    { guess: 'hen', name: 'Hen', detail: '' },
    { guess: 'unsure', name: 'Not sure', detail: '' },
  ];
}

export const toGuess = (birds: readonly BirdRow[]): BirdRow[] =>
  birds.filter((b) => b.gone === null && b.sex === 'unsexed' && b.guess === null);

export interface Score {
  by: string;
  right: number;
  of: number;
}

/** Of the birds guessed cock or hen and sexed since, how many were what was guessed; by what was seen. */
export function scores(birds: readonly BirdRow[]): Score[] {
  const by = new Map<string, Score>();
  for (const bird of birds) {
    if (bird.guess === null || bird.guess === 'unsure' || (bird.sex !== 'cock' && bird.sex !== 'hen'))
      continue;
    const seen = bird.guessed_by ?? 'other';
    const score = by.get(seen) ?? { by: seen, right: 0, of: 0 };
    by.set(seen, { ...score, of: score.of + 1, right: score.right + (bird.guess === bird.sex ? 1 : 0) });
  }
  return [...by.values()].sort((a, b) => a.by.localeCompare(b.by));
}

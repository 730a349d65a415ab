import { describe, expect, it } from 'vitest';
import type { EntryView, Question } from '../../book/index.ts';
import { oneQuestionEach } from './one-question.ts';

const id = (n: number) => `0197c2a0-0000-7000-8000-00000000000${n}`;
const asked = (key: string, code: string, detail: string, body: object): Question => ({
  key,
  code,
  detail,
  entries: [{ id: key, body } as EntryView],
});
const shown = (list: Question[]) =>
  oneQuestionEach(list).map((question) => question.entries.map((entry) => entry.id));

describe('a contradiction', () => {
  it('is one question with both entries, where they name the same bird, cage or setting', () => {
    const said = 'This leaves the cage with -1 hens: it held 2 before.';
    const cage = [1, 1, 2].map((n, at) => asked(`e${at}`, 'below_zero', said, { cage: id(n) }));
    expect(shown(cage)).toEqual([['e0', 'e1'], ['e2']]);
    const bird = [3, 4].map((n, at) =>
      asked(`e${at}`, 'bird_in_two_cages', 'Bird 1', { cage: id(n), birds: [{ bird: id(5) }] }),
    );
    expect(shown(bird)).toEqual([['e0', 'e1']]);
  });
  it('about a band is one, though the birds are of two broods', () => {
    const of = (key: string, band: string, n: number) =>
      asked(key, 'band_used_twice', `Band ${band} is on`, { brood: id(n) });
    expect(shown([of('a', 'R1', 1), of('b', 'R1', 2), of('c', 'R2', 1)])).toEqual([['a', 'b'], ['c']]);
  });
  it('is not what two unlikely weights are', () => {
    const of = (key: string) => asked(key, 'weight_far_off', 'That is 999 g.', { brood: id(1) });
    expect(shown([of('a'), of('b')])).toEqual([['a'], ['b']]);
  });
});

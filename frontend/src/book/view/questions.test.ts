import { describe, expect, test } from 'vitest';
import type { EntryView } from './entry-view.ts';
import { questionsIn } from './questions.ts';

let stamp = 0;
const view = (over: Partial<EntryView>): EntryView => ({
  id: `e${++stamp}`,
  author: 'ada',
  kind: 'egg_count',
  version: 1,
  day: '2026-03-14',
  stamp,
  zone: 'UTC',
  body: { cage: 'a1', round: 'morning', eggs: 4, cracked: 0, soiled: 0, thin_shelled: 0 },
  mends: null,
  place: 'book',
  struck: null,
  reason: null,
  mendedBy: null,
  ...over,
});
const asked = (code: string, detail = code) => ({ code, detail, field: null });
const twice = asked('counted_twice');
const evening = { cage: 'a1', round: 'evening', eggs: 2, cracked: 0, soiled: 0, thin_shelled: 0 };
const about = (entries: EntryView[]) =>
  questionsIn(entries).map((q) => [q.code, q.entries.map(({ id }) => id)]);

describe('what is asked', () => {
  test('two counts of one round are one question, newest first; other rounds are not in it', () => {
    const [one, two] = [view({ reason: twice }), view({ reason: twice })];
    expect(about([one, two, view({ body: evening })])).toEqual([['counted_twice', [two.id, one.id]]]);
  });
  test('a count that the house has not seen yet belongs to its round’s question', () => {
    const [theirs, mine] = [view({ reason: twice }), view({ place: 'waiting' })];
    expect(about([theirs, mine])).toEqual([['counted_twice', [mine.id, theirs.id]]]);
  });
  test('is over once one count is left, before the house has said so', () => {
    const struck = view({ reason: twice, struck: { by: 's', why: '' } });
    expect(about([view({ reason: twice }), struck])).toEqual([]);
  });
  test('an unlikely count that is also a second one is asked about as a clash first, then by itself', () => {
    const [much, other] = [view({ reason: asked('more_eggs_than_hens') }), view({ reason: twice })];
    expect(about([much, other])).toEqual([['counted_twice', [other.id, much.id]]]);
    expect(about([much])).toEqual([['more_eggs_than_hens', [much.id]]]);
  });
  test('a band on two birds is one question; two bands are two', () => {
    const banded = (band: string) =>
      view({
        kind: 'bird_sexed',
        body: { bird: `${stamp}`, brood: 'b', result: 'hen', band },
        reason: asked('band_used_twice', `Band ${band}`),
      });
    expect(
      about([banded('R1'), banded('R1'), banded('R2'), banded('R2')]).map(([, ids]) => ids?.length),
    ).toEqual([2, 2]);
  });
  test('what one hand wrote in a day under a wrong clock is one question', () => {
    const wrong = { reason: asked('clock_a_day_off') };
    const [a, b, c] = [
      view({ ...wrong, body: evening }),
      view({ ...wrong, author: 'tam' }),
      view({ ...wrong, kind: 'cage_note', body: { cage: 'a1', text: 'x' } }),
    ];
    expect(about([a, b, c])).toEqual([
      ['clock_a_day_off', [c.id, a.id]],
      ['clock_a_day_off', [b.id]],
    ]);
  });
  test('what the owner has found right is not asked again; the next question of the entry is', () => {
    const much = view({ reason: asked('more_eggs_than_hens') });
    const right = (code: string) =>
      view({ kind: 'found_right', body: { entries: [much.id], code, note: '' }, place: 'waiting' });
    expect(about([much, right('more_eggs_than_hens')])).toEqual([]);
    expect(about([much, right('weight_far_off')])).toEqual([['more_eggs_than_hens', [much.id]]]);
  });
  test('nothing is asked of what waits, is aside, or carries no question', () => {
    const reason = asked('below_zero');
    expect(
      about([
        view({ place: 'waits', reason }),
        view({ place: 'aside', reason }),
        view({ kind: 'cage_note' }),
      ]),
    ).toEqual([]);
  });
});

import { v7 } from 'uuid';
import { describe, expect, test } from 'vitest';
import type { EntryRow, Kind } from '../contract.ts';
import type { Kept } from '../store/database.ts';
import { type EntryView, merge, remarks, roundsIn, viewOfKept, viewOfRow } from './entry-view.ts';

let stamp = 0;
const kept = (kind: Kind, body: object, change: Partial<Kept> = {}): Kept => {
  stamp += 1;
  const id = v7();
  const entry = {
    id,
    author: 'a',
    kind,
    version: 1,
    day: '2026-03-14',
    stamp,
    zone: 'UTC',
    body: body as never,
  };
  return { id, device_seq: stamp, entry, state: 'waiting', open: 'waiting', ...change };
};
const rowOf = ({ entry }: Kept, change: Partial<EntryRow> = {}): EntryRow => ({
  ...entry,
  body: entry.body as unknown as EntryRow['body'],
  state: 'stands',
  code: null,
  detail: null,
  struck_by: null,
  mends: null,
  ...change,
});
const count = (eggs: number, round = 'morning') =>
  kept('egg_count', { cage: 'c', round, eggs, cracked: 0, soiled: 0, thin_shelled: 0 });
const nothing = remarks([], []);

describe('an entry shows', () => {
  test.each([
    [{}, 'waiting'],
    [{ state: 'later' }, 'later'],
    [{ state: 'stuck' }, 'stuck'],
    [{ state: 'aside' }, 'aside'],
    [{ state: 'sent', verdict: 'written' }, 'sent'],
    [{ state: 'sent', verdict: 'waits' }, 'waits'],
  ] as [Partial<Kept>, string][])('where it is: %j', (change, place) => {
    expect(viewOfKept({ ...count(5), ...change }, nothing).place).toBe(place);
  });

  test('the question the house asks of it, and why it was set aside', () => {
    const questioned = {
      ...count(50),
      state: 'sent' as const,
      code: 'more_eggs_than_hens',
      detail: 'Five hens.',
    };
    expect(viewOfKept(questioned, nothing).reason).toEqual({
      code: 'more_eggs_than_hens',
      detail: 'Five hens.',
      field: null,
    });
    expect(
      viewOfRow(rowOf(count(5), { state: 'waits', code: 'unknown', detail: 'No such cage.' }), nothing),
    ).toMatchObject({
      place: 'waits',
      reason: { code: 'unknown', detail: 'No such cage.' },
    });
  });

  test('that the house set it aside after all, when that comes by the changes', () => {
    const entry = { ...count(5), state: 'sent' as const, verdict: 'waits' as const };
    const aside = {
      id: 'x',
      entry: entry.id,
      kind: 'egg_count',
      author: 'a',
      received: 1,
      code: 'other_farm',
      detail: 'Not of this farm.',
      field: 'cage',
      raw: '',
      mended_by: 'm',
    };
    expect(viewOfKept(entry, remarks([entry], [aside]))).toMatchObject({
      place: 'aside',
      reason: { code: 'other_farm' },
      mendedBy: 'm',
    });
  });

  test('its strike, unsent or pulled, with the reason', () => {
    const entry = count(5);
    const strike = kept('strike', { entry: entry.id, why: 'wrong cage' });
    expect(viewOfKept(entry, remarks([strike], [])).struck).toEqual({ by: strike.id, why: 'wrong cage' });
    const pulled = rowOf(entry, { struck_by: strike.id });
    expect(viewOfRow(pulled, nothing, new Map([[strike.id, rowOf(strike)]])).struck).toEqual({
      by: strike.id,
      why: 'wrong cage',
    });
  });

  test('the entry written in its place', () => {
    const mending = { ...count(4), entry: { ...count(4).entry, mends: 'old' } };
    expect(remarks([mending], []).mends.get('old')).toBe(mending.id);
  });
});

test('pulled and unsent together, newest first; one that is both is shown as the book has it; strikes on what they strike', () => {
  const [one, two] = [count(1), count(2)];
  const strike = kept('strike', { entry: one.id, why: '' });
  const said = remarks([strike], []);
  const own = [one, two, strike].map((each) => viewOfKept(each, said));
  const merged = merge([viewOfRow(rowOf(one), said)], own);
  expect(merged.map(({ id, place }) => [id, place])).toEqual([
    [two.id, 'waiting'],
    [one.id, 'book'],
  ]);
  expect(merged[1]?.struck).toEqual({ by: strike.id, why: '' });
});

describe('what the rounds of a day found', () => {
  const views = (...entries: Kept[]): EntryView[] => entries.map((each) => viewOfKept(each, nothing));

  test('by cage and round; different rounds stand apart', () => {
    const rounds = roundsIn(views(count(5), count(2, 'evening'))).get('c');
    expect(rounds?.get('morning')).toMatchObject({ eggs: 5, clash: false, passed: null });
    expect(rounds?.get('evening')).toMatchObject({ eggs: 2 });
  });

  test('two counts of one round clash: neither is the count', () => {
    expect(
      roundsIn(views(count(5), count(4)))
        .get('c')
        ?.get('morning'),
    ).toMatchObject({ eggs: null, clash: true });
  });

  test('one struck or set aside counts for nothing', () => {
    const [wrong, refused, right] = [count(50), count(9), count(5)];
    const shown = [
      { ...viewOfKept(wrong, nothing), struck: { by: 's', why: '' } },
      viewOfKept({ ...refused, state: 'aside' }, nothing),
      viewOfKept(right, nothing),
    ];
    expect(roundsIn(shown).get('c')?.get('morning')).toMatchObject({ eggs: 5, clash: false });
  });

  test('no eggs is a count; passed over is none', () => {
    const passed = kept('cage_passed', { cage: 'd', round: 'morning', reason: 'broody' });
    const rounds = roundsIn(views(count(0), passed));
    expect(rounds.get('c')?.get('morning')?.eggs).toBe(0);
    expect(rounds.get('d')?.get('morning')).toMatchObject({
      eggs: null,
      clash: false,
      passed: { body: { reason: 'broody' } },
    });
  });
});

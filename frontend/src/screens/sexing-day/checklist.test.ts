import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { dayAfter } from '../../parts/days.ts';
import { brood, line } from '../testing/a-barn.ts';
import { banded, broodsToSex, nextInHand, windowOf } from './checklist.ts';

const hatched_on = '2026-01-28';
const a_brood = brood({ id: 'b', code: '26-03', hatched_on });
const bird = (number: number, over: Partial<BirdRow> = {}): BirdRow => ({
  id: `bird-${number}`,
  brood: 'b',
  number,
  ...UNKNOWN_BIRD,
  ...over,
});

describe('the window', () => {
  it('is day 42 to 56, both in', () => {
    const state = (age: number) => windowOf(a_brood, line('x', 1), dayAfter(hatched_on, age)).state;
    expect([41, 42, 56, 57].map(state)).toEqual(['early', 'open', 'open', 'late']);
  });
  it('is late only for birds nobody has looked at', () => {
    const seen = { ...a_brood, unlooked: 0, unsure: 2 };
    expect(windowOf(seen, line('x', 1), dayAfter(hatched_on, 60)).state).toBe('again');
  });
  it('is the line’s own where the line says otherwise', () => {
    const own = { ...line('x', 1), sexing_from_day: 28, sexing_to_day: 35 };
    expect(windowOf(a_brood, own, dayAfter(hatched_on, 30))).toMatchObject({
      from: 28,
      to: 35,
      state: 'open',
      age_days: 30,
    });
  });
});

describe('the checklist', () => {
  it('takes birds new to the book first, then those known but not looked at, then those not sure', () => {
    const of = (unlooked: number) => ({ ...a_brood, unlooked });
    expect(nextInHand(of(3), [bird(1)])).toBeNull();
    expect(nextInHand(of(1), [bird(1, { sex: 'unsure' }), bird(2)])).toMatchObject({ number: 2 });
    expect(nextInHand(of(0), [bird(1, { sex: 'unsure' }), bird(2, { sex: 'hen' })])).toMatchObject({
      number: 1,
    });
    expect(nextInHand(of(0), [bird(2, { sex: 'hen' })])).toBe('done');
  });
  it('finds a bird by its band however it is typed', () => {
    const birds = [bird(1), bird(2, { band: 'R 14' })];
    expect(banded(birds, 'r14')?.number).toBe(2);
    expect(banded(birds, ' ')).toBeUndefined();
  });
  it('brings the brood whose window closes first, and none that is done', () => {
    const list = broodsToSex(
      [
        brood({ id: 'young', code: '3', hatched_on: '2026-02-10' }),
        brood({ id: 'old', code: '1', hatched_on: '2026-01-10' }),
        brood({ id: 'done', code: '2', hatched_on: '2026-01-01', unlooked: 0 }),
        brood({ id: 'unsure', code: '4', hatched_on: '2026-01-20', unlooked: 0, unsure: 1 }),
      ],
      [],
      '2026-03-14',
    );
    expect(list.map((b) => b.brood.id)).toEqual(['old', 'unsure', 'young']);
  });
});

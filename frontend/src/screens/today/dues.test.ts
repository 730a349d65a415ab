import { describe, expect, it } from 'vitest';
import type { DueRow, OrderRow, ShipmentRow } from '../../book/index.ts';
import { dayAfter } from '../../parts/days.ts';
import { brood, line } from '../testing/rows.ts';
import { duesInOrder, howLong, leftOf, leftToPack, onItsDays, type Stands, when } from './dues.ts';

const hatched = '2026-01-28';
const due = (over: Partial<DueRow> = {}): DueRow => ({
  id: 'd',
  work: 'sexing',
  subject: 'brood/b',
  first_day: dayAfter(hatched, 42),
  last_day: dayAfter(hatched, 56),
  left: 12,
  done: false,
  ...over,
});

const stands = (over: Partial<Stands> = {}): Stands => ({
  broods: [],
  settings: new Map(),
  trays: new Map(),
  lines: [],
  ...over,
});

describe('a due', () => {
  it('opens on day 42 and is late after day 56, both ends in', () => {
    expect(when(due(), dayAfter(hatched, 41))).toBe('soon');
    expect(when(due(), dayAfter(hatched, 42))).toBe('now');
    expect(when(due(), dayAfter(hatched, 56))).toBe('now');
    expect(when(due(), dayAfter(hatched, 57))).toBe('late');
  });
  it('says how long there is', () => {
    expect(howLong(due(), dayAfter(hatched, 45))).toEqual({ big: '11', small: 'days left' });
    expect(howLong(due(), dayAfter(hatched, 56))).toEqual({ big: 'today', small: 'last day' });
    expect(howLong(due(), dayAfter(hatched, 59))).toEqual({ big: 'late', small: '3 days' });
    expect(howLong(due(), dayAfter(hatched, 40))).toEqual({ big: 'in 2', small: 'days' });
  });
  it('counts what this phone has not sent yet: the brood’s own numbers before the house’s', () => {
    const b = brood({ id: 'b', code: '26-03', hatched_on: hatched, unlooked: 3, unsure: 2 });
    expect(leftOf(due(), [b])).toBe(3);
    expect(leftOf(due({ work: 'look_again' }), [b])).toBe(2);
    expect(leftOf(due(), [])).toBe(12);
    expect(duesInOrder([due()], stands({ broods: [{ ...b, unlooked: 0 }] }), dayAfter(hatched, 45))).toEqual(
      [],
    );
  });
  it('moves at once with a day of hatch that was put right on this phone', () => {
    const b = brood({ id: 'b', code: '26-03', hatched_on: dayAfter(hatched, 5), unlooked: 3 });
    const seen = stands({ broods: [b], lines: [{ ...line('x', 1), id: b.line }] });
    expect(onItsDays(due(), seen)).toMatchObject({
      first_day: dayAfter(hatched, 47),
      last_day: dayAfter(hatched, 61),
    });
    const weighing = due({ work: 'weighing', first_day: '2026-03-25', last_day: '2026-04-01' });
    expect(onItsDays(weighing, seen)).toMatchObject({ first_day: '2026-03-30', last_day: '2026-04-06' });
    const again = due({ work: 'look_again' });
    expect(onItsDays(again, seen)).toBe(again); // counted from the last look, not from the hatch
    expect(onItsDays(due(), stands({ broods: [b] })).first_day).toBe(dayAfter(hatched, 42)); // its line is not here
  });
  it('to pack an order comes before its day; on the day it stands among this morning’s orders', () => {
    const pack = due({ work: 'pack', subject: 'order/o', first_day: '2026-03-14', last_day: '2026-03-14' });
    const shown = (today: string) => duesInOrder([pack], stands(), today).map((d) => d.when);
    expect(['2026-02-20', '2026-03-10', '2026-03-14', '2026-03-15'].map(shown)).toEqual([
      [],
      ['soon'],
      [],
      [],
    ]);
  });
  it('to pack an order knows what this phone put into boxes', () => {
    const order = { id: 'o', promised_eggs: 24, withdrawn_on: null } as OrderRow;
    const box = (eggs: number, sent_on: string | null = null) =>
      ({
        eggs: [
          { order: 'o', eggs },
          { order: 'other', eggs: 9 },
        ],
        sent_on,
      }) as ShipmentRow;
    expect(leftToPack(order, [])).toBe(24);
    expect(leftToPack(order, [box(10), box(4)])).toBe(10);
    expect(leftToPack(order, [box(30)])).toBe(0);
    expect(leftToPack(order, [box(20, '2026-03-10')])).toBe(0);
    expect(leftToPack({ ...order, withdrawn_on: '2026-03-10' }, [])).toBe(0);
    expect(leftToPack(undefined, [])).toBe(0);
  });
  it('comes by its last day; done ones and far ones do not come', () => {
    const today = dayAfter(hatched, 45);
    const list = [
      due({ id: 'now' }),
      due({ id: 'done', done: true }),
      due({ id: 'none left', left: 0 }),
      due({ id: 'late', first_day: '2026-01-01', last_day: '2026-01-15' }),
      due({ id: 'far', first_day: '2026-06-01', last_day: '2026-06-15' }),
    ];
    expect(duesInOrder(list, stands(), today).map((d) => d.due.id)).toEqual(['late', 'now']);
  });
});

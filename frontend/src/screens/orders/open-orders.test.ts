import { describe, expect, it } from 'vitest';
import type { CanPromiseRow, OrderRow, ShipmentRow } from '../../book/index.ts';
import type { Shelf } from '../egg-store/shelf.ts';
import { boundBy, canPromise, packedFor, setAside, stateOf, unheard } from './open-orders.ts';

const TODAY = '2026-03-10';
const order = (id: string, over: Partial<OrderRow> = {}): OrderRow => ({
  id,
  code: id,
  customer: null,
  line: 'l',
  eggs: 10,
  wanted_by: '2026-03-12',
  oldest_days: null,
  taken_on: '2026-03-01',
  note: '',
  promised_eggs: 10,
  promised_for: '2026-03-12',
  promised_sure: 0.9,
  promised_on: '2026-03-02',
  withdrawn_on: null,
  ...over,
});
const day = (laid_on: string, left: number) => ({ laid_on, left, age_days: 0, withheld: 0, past: false });
const shelf = (...days: [string, number][]): Shelf => ({
  line: { id: 'l', storage_limit_days: 7 } as Shelf['line'],
  days: days.map(([laid_on, left]) => day(laid_on, left)),
  unknown: 0,
  fresh: 0,
  past: 0,
});
const box = (id: string, eggs: number, sent_on: string | null = null): ShipmentRow =>
  ({
    id: `s${id}`,
    sent_on,
    eggs: [{ order: id, line: 'l', laid_on: TODAY, eggs }],
  }) as unknown as ShipmentRow;
const plan = (orders: OrderRow[], shelves: Shelf[], shipments: ShipmentRow[] = []) =>
  setAside(orders, { shipments, shelves, today: TODAY });

describe('what to set aside', () => {
  it('goes to the earlier order first, each egg once, none that would be too old on its day', () => {
    const found = plan(
      [order('late', { promised_for: '2026-03-15' }), order('soon')],
      [shelf(['2026-03-05', 4], ['2026-03-07', 5], ['2026-03-09', 6])],
    );
    expect(found.map((f) => [f.order.id, f.eggs.map((e) => e.eggs), f.here])).toEqual([
      ['soon', [4, 5, 1], 10],
      ['late', [5], 5],
    ]);
  });
  it('leaves out what is packed, sent, withdrawn or not promised; one that is late is for today', () => {
    const orders = [
      order('packed'),
      order('withdrawn', { withdrawn_on: TODAY }),
      order('asked', { promised_for: null, promised_eggs: null }),
      order('half', { promised_for: '2026-03-08' }),
    ];
    const found = plan(orders, [shelf(['2026-03-09', 9])], [box('packed', 10), box('half', 4)]);
    expect(found.map((f) => [f.order.id, f.on, f.wanted, f.here])).toEqual([['half', TODAY, 6, 6]]);
  });
});

describe('what others bind', () => {
  it('is the eggs set aside for them, and not those of the order itself or of another line', () => {
    const found = plan(
      [order('soon'), order('late', { promised_for: '2026-03-13' }), order('asked', { promised_for: null })],
      [shelf(['2026-03-07', 14], ['2026-03-09', 9])],
    );
    expect([...boundBy(found, { line: 'l', but: 'asked' })]).toEqual([
      ['2026-03-07', 14],
      ['2026-03-09', 6],
    ]);
    expect([...boundBy(found, { line: 'l', but: 'late' })]).toEqual([['2026-03-07', 10]]);
    expect([...boundBy(found, { line: 'm', but: 'asked' })]).toEqual([]);
  });
});

describe('an order', () => {
  it('is asked for, promised, packed, sent or withdrawn', () => {
    const state = (o: OrderRow, ...boxes: ShipmentRow[]) => stateOf(o, packedFor(o.id, boxes));
    expect(state(order('a', { promised_for: null }))).toBe('asked');
    expect(state(order('a'), box('a', 9))).toBe('promised');
    expect(state(order('a'), box('a', 10))).toBe('packed');
    expect(state(order('a'), box('a', 8, TODAY))).toBe('sent');
    expect(state(order('a', { withdrawn_on: TODAY }))).toBe('withdrawn');
  });
});

describe('what can be promised', () => {
  const row: CanPromiseRow = {
    id: 'l',
    from_day: '2026-03-09',
    most: [0, 20, 30, 48, 60],
    orders: [{ order: 'known', sure: 0.97, short: 0 }],
    hens: 24,
    lay_rate: 0.8,
    missing: null,
    computed_at: 0,
  };
  const ask = (eggs: number, on: string, unheardEggs = 0) =>
    canPromise(row, { eggs, day: on, unheard: unheardEggs });
  it('is read off the house’s table, with the first day on which it is', () => {
    expect(ask(30, '2026-03-11')).toEqual({ say: 'yes', most: 30 });
    expect(ask(48, '2026-03-11')).toEqual({ say: 'no', most: 30, first_day: '2026-03-12' });
    expect(ask(90, '2026-03-11')).toEqual({ say: 'no', most: 30, first_day: null });
    expect(ask(1, '2026-03-30')).toMatchObject({ say: 'unknown' });
    expect(ask(1, '2026-03-08')).toMatchObject({ say: 'unknown' });
  });
  it('is less by what was promised here and the house has not heard of', () => {
    const here = plan([order('new'), order('known')], [shelf()]);
    expect(unheard(row, 'l', here)).toBe(10);
    expect(ask(30, '2026-03-11', 10)).toEqual({ say: 'no', most: 20, first_day: '2026-03-12' });
  });
  it('does not count an order before itself when it is promised anew', () => {
    const anew = [0, 30, 40, 58, 70];
    const with_it = { ...row, orders: [{ order: 'known', sure: 0.97, short: 0, anew }] };
    const again = (eggs: number, but?: string) => canPromise(with_it, { eggs, day: TODAY, unheard: 0, but });
    expect(again(30)).toMatchObject({ say: 'no', most: 20 });
    expect(again(30, 'known')).toEqual({ say: 'yes', most: 30 });
    expect(again(58, 'known')).toEqual({ say: 'no', most: 30, first_day: '2026-03-12' });
    // Promised here and not heard of at the house: its table does not have it in.
    expect(again(30, 'new')).toMatchObject({ say: 'no', most: 20 });
    expect(canPromise(row, { eggs: 30, day: TODAY, unheard: 0, but: 'known' })).toMatchObject({ most: 20 });
  });
  it('is nothing where the counts say too little, and why', () => {
    const missing = { reason: 'too_few_days', what: 'weeks', have: 2, need: 4, detail: '' };
    expect(canPromise(row, { eggs: 1, day: TODAY, unheard: 0, younger: true }).say).toBe('unknown');
    expect(canPromise({ ...row, missing }, { eggs: 1, day: TODAY, unheard: 0 })).toMatchObject({
      why: expect.stringContaining('4 weeks of counts are needed, and there are 2'),
    });
  });
});

import { describe, expect, it } from 'vitest';
import type { SettingRow, TrayRow } from '../../book/index.ts';
import { line } from '../testing/rows.ts';
import { byNext, daysOf, dayWords, whereIs } from './steps.ts';

const setting = (over: Partial<SettingRow> = {}): SettingRow => ({
  id: 's',
  code: '26-40',
  incubator: '',
  set_on: '2026-03-01',
  eggs: 38,
  trays: 2,
  candled: 0,
  locked_down_on: null,
  hatched: 0,
  hatched_trays: 0,
  chicks_seen: 0,
  note: '',
  ...over,
});
const tray = (of: string) => ({ line: of }) as TrayRow;
const days = daysOf([tray('line-1')], [line('Moorland', 1)]);

describe('a setting', () => {
  it('goes from candling to lockdown to hatch, each on its line’s day', () => {
    // Set on 1 March: candled on day 7, locked down on 14, hatch on 17 (docs/wire.md).
    expect(whereIs(setting(), days, '2026-03-08')).toMatchObject({
      day: 7,
      next: 'candle',
      next_on: '2026-03-08',
    });
    expect(whereIs(setting({ candled: 2 }), days, '2026-03-08')).toMatchObject({
      next: 'lockdown',
      next_on: '2026-03-15',
    });
    const locked = setting({ candled: 2, locked_down_on: '2026-03-15' });
    expect(whereIs(locked, days, '2026-03-15')).toMatchObject({ next: 'hatch', next_on: '2026-03-18' });
    const out = { ...locked, hatched_trays: 2, hatched: 30 };
    expect(whereIs({ ...out, chicks_seen: 12 }, days, '2026-03-19').next).toBe('chicks');
    expect(whereIs({ ...out, chicks_seen: 30 }, days, '2026-03-19').next).toBe('done');
  });
  it('is not asked to be candled once it is locked down, nor when its line is not candled', () => {
    expect(whereIs(setting({ locked_down_on: '2026-03-15' }), days, '2026-03-15').next).toBe('hatch');
    expect(whereIs(setting(), { ...days, candle_on_day: null }, '2026-03-08').next).toBe('lockdown');
  });
  it('of several lines goes by the earliest', () => {
    const early = { ...line('Rust', 3), hatch_on_day: 16, lockdown_on_day: 13, candle_on_day: null };
    expect(daysOf([tray('line-1'), tray('line-3')], [line('Moorland', 1), early])).toEqual({
      candle_on_day: 7,
      lockdown_on_day: 13,
      hatch_on_day: 16,
    });
  });
  it('says its day in words', () => {
    expect(dayWords({ day: 14, hatch_on_day: 17 })).toBe('day 14 of 17');
    expect(dayWords({ day: 19, hatch_on_day: 17 })).toBe('day 19, 2 past 17');
  });
  it('stands by what is next', () => {
    const at = (id: string, over: Partial<SettingRow>) => {
      const one = setting({ id, ...over });
      return { setting: one, where: whereIs(one, days, '2026-03-10') };
    };
    const list = [
      at('done', { hatched_trays: 2 }),
      at('late', { set_on: '2026-02-20', candled: 2 }),
      at('soon', { set_on: '2026-03-02' }),
      at('chicks', { hatched_trays: 2, hatched: 3 }),
    ];
    expect(byNext(list).map((each) => each.setting.id)).toEqual(['chicks', 'late', 'soon', 'done']);
  });
});

/** Where a setting stands: which day it is of how many, what comes next and when. The day eggs are set is day 0. */
import type { BroodRow, Day, LineRow, SettingRow, TrayRow } from '../../book/index.ts';
import { dayAfter, daysFrom } from '../../parts/days.ts';

export type Step = 'candle' | 'lockdown' | 'hatch' | 'chicks' | 'done';

export interface Where {
  /** Days since the eggs were set. */
  day: number;
  hatch_on_day: number;
  next: Step;
  /** First day of the next step; null when nothing has a day any more. */
  next_on: Day | null;
}

/** Days of a line that is not on this phone: docs/wire.md says where they come from. */
const UNKNOWN = { candle_on_day: 7, lockdown_on_day: 14, hatch_on_day: 17 };
type Days = Pick<LineRow, 'candle_on_day' | 'lockdown_on_day' | 'hatch_on_day'>;

/** With several lines in one setting, the earliest day of any. */
export function daysOf(trays: readonly TrayRow[], lines: readonly LineRow[]): Days {
  const of: Days[] = [...new Set(trays.map((t) => t.line))].map(
    (id) => lines.find((l) => l.id === id) ?? UNKNOWN,
  );
  if (of.length === 0) return UNKNOWN;
  const candled = of.flatMap((d) => d.candle_on_day ?? []);
  return {
    candle_on_day: candled.length === 0 ? null : Math.min(...candled),
    lockdown_on_day: Math.min(...of.map((d) => d.lockdown_on_day)),
    hatch_on_day: Math.min(...of.map((d) => d.hatch_on_day)),
  };
}

export function whereIs(setting: SettingRow, days: Days, today: Day): Where {
  const day = daysFrom(setting.set_on, today);
  const { hatch_on_day } = days;
  const on = (n: number) => dayAfter(setting.set_on, n);
  const at = (next: Step, next_on: Day | null): Where => ({ day, hatch_on_day, next, next_on });
  if (setting.trays > 0 && setting.hatched_trays >= setting.trays)
    return at(setting.chicks_seen < setting.hatched ? 'chicks' : 'done', null);
  if (setting.locked_down_on !== null || setting.hatched_trays > 0) return at('hatch', on(hatch_on_day));
  if (days.candle_on_day !== null && setting.candled < setting.trays)
    return at('candle', on(days.candle_on_day));
  return at('lockdown', on(days.lockdown_on_day));
}

/** "day 14 of 17"; past the hatch it says by how much. */
export function dayWords({ day, hatch_on_day }: Pick<Where, 'day' | 'hatch_on_day'>): string {
  if (day > hatch_on_day) return `day ${day}, ${day - hatch_on_day} past ${hatch_on_day}`;
  return `day ${day} of ${hatch_on_day}`;
}

export const STEP_WORDS: Record<Step, string> = {
  candle: 'Candle',
  lockdown: 'Lock down',
  hatch: 'Hatch',
  chicks: 'Chicks to look at',
  done: 'Hatched',
};

/** By what is next: the earliest day first, then chicks to be looked at, then what is done, the newest first. */
export function byNext(
  list: { setting: SettingRow; where: Where }[],
): { setting: SettingRow; where: Where }[] {
  const rank = (w: Where) => (w.next === 'done' ? 2 : w.next === 'chicks' ? 0 : 1);
  return [...list].sort(
    (a, b) =>
      rank(a.where) - rank(b.where) ||
      (a.where.next_on ?? '').localeCompare(b.where.next_on ?? '') ||
      b.setting.set_on.localeCompare(a.setting.set_on) ||
      a.setting.id.localeCompare(b.setting.id),
  );
}

export const traysIn = (trays: ReadonlyMap<string, TrayRow>, setting: string): TrayRow[] =>
  [...trays.values()]
    .filter((t) => t.setting === setting)
    .sort((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));

/** Of the eggs that could be read, those not clear (ruling 20); null while none was read. */
export const fertileOf = ({ read, clear }: TrayRow): { fertile: number; read: number } | null =>
  read > 0 ? { fertile: read - clear, read } : null;

export const broodsFrom = (broods: readonly BroodRow[], setting: string): BroodRow[] =>
  broods.filter((b) => b.setting === setting);

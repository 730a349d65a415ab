/** Dues judged by the phone's own date (ruling 7): the house draws the days ahead, the phone says what is late. */
import type {
  BroodRow,
  Day,
  DueRow,
  Id,
  LineRow,
  OrderRow,
  SettingRow,
  ShipmentRow,
  TrayRow,
} from '../../book/index.ts';
import { dayAfter, daysFrom } from '../../parts/days.ts';

export type When = 'late' | 'now' | 'soon' | 'ahead';

/** Days ahead within which work is said to be soon. */
const SOON_DAYS = 14;

export function when(due: Pick<DueRow, 'first_day' | 'last_day'>, today: Day): When {
  if (daysFrom(due.last_day, today) > 0) return 'late';
  if (daysFrom(due.first_day, today) >= 0) return 'now';
  return daysFrom(today, due.first_day) <= SOON_DAYS ? 'soon' : 'ahead';
}

/** How many are left: the brood's or the setting's own numbers, which know what this phone has not sent yet; else what the house last said. */
export function leftOf(
  due: Pick<DueRow, 'work' | 'subject' | 'left'>,
  broods: readonly BroodRow[],
  settings: ReadonlyMap<Id, SettingRow> = new Map(),
): number | null {
  const brood = broods.find((b) => due.subject === `brood/${b.id}`);
  if (brood && due.work === 'sexing') return brood.unlooked;
  if (brood && due.work === 'look_again') return brood.unsure;
  const setting = settings.get(due.subject.split('/')[1] ?? '');
  if (!setting) return due.left;
  const out = setting.locked_down_on !== null || setting.hatched_trays > 0;
  if (due.work === 'candle') return out ? 0 : setting.trays - setting.candled;
  if (due.work === 'lockdown') return out ? 0 : 1;
  if (due.work === 'hatch') return setting.trays - setting.hatched_trays;
  return due.left;
}

/** Eggs of a promised order that are in no box yet, with what this phone packed, sent or withdrew counted. */
export function leftToPack(order: OrderRow | undefined, shipments: Iterable<ShipmentRow>): number {
  let left = order?.withdrawn_on === null ? (order.promised_eggs ?? 0) : 0;
  for (const { eggs, sent_on } of shipments)
    for (const each of eggs) if (each.order === order?.id) left = sent_on === null ? left - each.eggs : 0;
  return Math.max(0, left);
}

/** What the first day of each work is counted by, from the hatch or from the day of setting. */
const AGES: Record<string, keyof LineRow | undefined> = {
  sexing: 'sexing_from_day',
  weighing: 'weighing_age_days',
  candle: 'candle_on_day',
  lockdown: 'lockdown_on_day',
  hatch: 'hatch_on_day',
};

export interface Stands {
  broods: readonly BroodRow[];
  settings: ReadonlyMap<Id, SettingRow>;
  trays: ReadonlyMap<Id, TrayRow>;
  lines: readonly LineRow[];
}

/**
 * The due on the days of what stands on this phone: a day of hatch or of setting that was put right here, and not sent yet, moves its
 * dues at once. The house draws them anew when it has it.
 */
export function onItsDays(due: DueRow, { broods, settings, trays, lines }: Stands): DueRow {
  const of = due.subject.split('/')[1] ?? '';
  const brood = broods.find((b) => b.id === of);
  const from = brood?.hatched_on ?? settings.get(of)?.set_on;
  const age = AGES[due.work];
  if (!from || !age) return due;
  const own = brood ? [brood.line] : [...trays.values()].filter((t) => t.setting === of).map((t) => t.line);
  const ages = lines.filter((l) => own.includes(l.id)).flatMap((l) => (l[age] as number | null) ?? []);
  if (ages.length === 0) return due;
  const first_day = dayAfter(from, Math.min(...ages));
  const moved = daysFrom(due.first_day, first_day);
  return moved === 0 ? due : { ...due, first_day, last_day: dayAfter(due.last_day, moved) };
}

/** What is to be done, by its last day; what is done or has nothing left is not shown. */
export function duesInOrder(
  dues: DueRow[],
  stands: Stands,
  today: Day,
): { due: DueRow; when: When; left: number | null }[] {
  return (
    dues
      .map((drawn) => onItsDays(drawn, stands))
      .map((due) => ({ due, when: when(due, today), left: leftOf(due, stands.broods, stands.settings) }))
      .filter((d) => !d.due.done && d.left !== 0 && d.when !== 'ahead')
      // On its day an order stands among this morning's.
      .filter((d) => d.due.work !== 'pack' || d.when === 'soon')
      .sort((a, b) => a.due.last_day.localeCompare(b.due.last_day) || a.due.id.localeCompare(b.due.id))
  );
}

/** "4 days late", "last day today", "11 days left", "in 5 days". */
export function howLong(due: DueRow, today: Day): { big: string; small: string } {
  const left = daysFrom(today, due.last_day);
  const state = when(due, today);
  if (state === 'late') return { big: 'late', small: left === -1 ? '1 day' : `${-left} days` };
  if (state === 'now')
    return left === 0
      ? { big: 'today', small: 'last day' }
      : { big: String(left), small: left === 1 ? 'day left' : 'days left' };
  const wait = daysFrom(today, due.first_day);
  return { big: `in ${wait}`, small: wait === 1 ? 'day' : 'days' };
}

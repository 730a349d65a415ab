/** Eggs put into an incubator together, tray by tray. Written again, it replaces the earlier setting whole. */
import type { Bodies, Day } from '../contract.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { all, day, listOf } from './more-fields.ts';
import { plural } from './names.ts';

type Body = Bodies['eggs_set'];

const TRAY = all({
  tray: id,
  name: text({ most: 20 }),
  line: id,
  cage: orNull(id),
  eggs: listOf(all({ laid_on: orNull(day), eggs: count({ least: 1 }) }), { least: 1, most: 31 }),
});

const FIELDS = {
  setting: id,
  code: text({ most: 40 }),
  incubator: text({ most: 40, blank: true }),
  set_on: day,
  trays: listOf(TRAY, { least: 1, most: 40 }),
  note: text({ blank: true }),
};

const twice = (things: readonly unknown[]): boolean => new Set(things).size < things.length;

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { trays, set_on } = body as Body;
  if (twice(trays.map(({ tray }) => tray))) return wrong('trays', 'must each have an id of their own');
  if (twice(trays.map(({ name }) => name))) return wrong('trays', 'must each have a name of their own');
  for (const { name, eggs } of trays) {
    const days = eggs.map(({ laid_on }) => laid_on);
    if (twice(days)) return wrong('trays', `name a day of lay twice in tray ${name}`);
    const late = days.find((laid: Day | null) => laid !== null && laid > set_on);
    if (late) return wrong('trays', `hold eggs laid on ${late} in tray ${name}, after they were set`);
  }
  return null;
}

const inTray = ({ eggs }: Body['trays'][number]): number => eggs.reduce((sum, each) => sum + each.eggs, 0);

export function words({ code, trays, set_on }: Body): string {
  const eggs = trays.reduce((sum, tray) => sum + inTray(tray), 0);
  return `Setting ${code}: ${plural(eggs, 'egg')} set on ${set_on}, ${plural(trays.length, 'tray')}`;
}

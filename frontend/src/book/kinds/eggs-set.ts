/** Eggs put into an incubator together, tray by tray. Written again, it replaces the earlier setting whole. */
import type { Bodies, Day, Id, TrayRow } from '../contract.ts';
import type { Barn, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { all, day, listOf } from './more-fields.ts';
import { onDay, plural } from './names.ts';
import { take } from './store-eggs.ts';

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
  return `Setting ${code}: ${plural(eggs, 'egg')} set on ${onDay(set_on)}, ${plural(trays.length, 'tray')}`;
}

const outOf = (line: Id, laid: Body['trays'][number]['eggs']) => laid.map((each) => ({ line, ...each }));

const NOTHING_FOUND = {
  read: 0,
  clear: 0,
  dead_early: 0,
  unread: 0,
  broken: 0,
  removed: 0,
  candled_on: null,
  hatched: 0,
  pipped_dead: 0,
  dead_in_shell: 0,
  hatched_on: null,
};

/** Written again, its trays are those now written; what was found in each stays found. */
export function stands(barn: Barn, { body }: Written<Body>): void {
  const { setting, trays, ...row } = body;
  const named = new Set(trays.map(({ tray }) => tray));
  for (const tray of barn.trays.values())
    if (tray.setting === setting) take(barn, 'set', outOf(tray.line, tray.laid), -1);
  for (const { line, eggs } of trays) take(barn, 'set', outOf(line, eggs));
  for (const tray of barn.trays.values())
    if (tray.setting === setting && !named.has(tray.id)) barn.trays.delete(tray.id);
  for (const { tray, eggs: laid, ...source } of trays) {
    const before = barn.trays.get(tray);
    const eggs = laid.reduce((sum, each) => sum + each.eggs, 0);
    const out = before ? before.eggs - before.left : 0;
    const now: TrayRow = {
      ...NOTHING_FOUND,
      ...before,
      ...source,
      id: tray,
      setting,
      laid,
      eggs,
      left: eggs - out,
    };
    barn.trays.set(tray, now);
  }
  const found = { candled: 0, locked_down_on: null, hatched: 0, hatched_trays: 0, chicks_seen: 0 };
  barn.settings.set(setting, {
    ...found,
    ...barn.settings.get(setting),
    ...row,
    id: setting,
    eggs: trays.reduce((sum, tray) => sum + inTray(tray), 0),
    trays: trays.length,
  });
}

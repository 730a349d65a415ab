/** Eggs of a line to be set by a day. Written again, it replaces; 0 eggs: given up. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { day } from './more-fields.ts';
import { after, type Names, onDay, plural } from './names.ts';

type Body = Bodies['setting_planned'];

const FIELDS = {
  plan: id,
  line: id,
  cage: orNull(id),
  eggs: count({ most: 5000 }),
  cocks: count(),
  hens: count(),
  from_day: day,
  by_day: day,
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { from_day, by_day } = body as Body;
  return by_day < from_day ? wrong('by_day', 'must not be before the first day') : null;
}

export const words = ({ line, eggs, hens, cocks, by_day, note }: Body, names: Names): string =>
  eggs === 0
    ? `${names.line(line)}: a planned setting given up${after(note)}`
    : `Set ${plural(eggs, 'egg')} of ${names.line(line)} by ${onDay(by_day)}, for ${plural(hens, 'hen')} and ` +
      `${plural(cocks, 'cock')}${after(note)}`;

export function stands(barn: Barn, { day: on, body }: Written<Body>): void {
  const { line, ...plan } = body;
  const others = othersOf(barn, body);
  const plans = plan.eggs === 0 ? others : [...others, { ...plan, planned_on: on }];
  putRow(barn.lines, line, { plans: plans.sort((a, b) => a.by_day.localeCompare(b.by_day)) });
}

export function unstands(barn: Barn, { before, last, body }: Struck<Body>): void {
  if (!last) return;
  if (before) stands(barn, before);
  else putRow(barn.lines, body.line, { plans: othersOf(barn, body) });
}

const othersOf = (barn: Barn, { line, plan }: Body) =>
  (barn.lines.get(line)?.plans ?? []).filter((each) => each.plan !== plan);

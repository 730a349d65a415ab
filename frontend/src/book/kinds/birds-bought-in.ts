/** Birds bought in: they make a brood of their own, in quarantine until a day. */
import type { Bodies } from '../contract.ts';
import { type Barn, total, type Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { day, flag } from './more-fields.ts';
import { headsInWords, type Names, onDay } from './names.ts';

type Body = Bodies['birds_bought_in'];

const FIELDS = {
  brood: id,
  line: id,
  code: text({ most: 40 }),
  hatched_on: day,
  hatch_day_sure: flag,
  hens: count(),
  cocks: count(),
  unsexed: count(),
  quarantine_until: orNull(day),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  return total(body as Body) === 0
    ? wrong('hens', 'and cocks and unsexed are all 0: say how many were bought')
    : null;
}

export function words(body: Body, names: Names): string {
  const apart = body.quarantine_until === null ? '' : `, in quarantine until ${onDay(body.quarantine_until)}`;
  return `Brood ${body.code} of ${names.line(body.line)}: ${headsInWords(body)} bought in${apart}`;
}

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { brood, hens, cocks, unsexed, ...row } = body;
  const before = barn.broods.get(brood);
  const chicks = hens + cocks + unsexed;
  const more = chicks - (before?.chicks ?? 0);
  barn.broods.set(brood, {
    ...(before ?? { hens: 0, cocks: 0, unsure: 0, placed: 0, plumage: {}, brooder: '' }),
    id: brood,
    ...row,
    chicks,
    alive: (before?.alive ?? 0) + more,
    unlooked: before ? before.unlooked + more : unsexed,
    setting: null,
    trays: [],
    bought_in: true,
  });
}

/** Chicks of a brood by plumage class, one a tap or many at once; they add. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text } from './fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['chicks_seen'];

const FIELDS = {
  brood: id,
  setting: orNull(id),
  plumage: orNull(text({ most: 20 })),
  chicks: count({ least: 1 }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ brood, plumage, chicks }: Body, names: Names): string =>
  `Brood ${names.brood(brood)}: ${plural(chicks, 'chick')}${plumage === null ? '' : `, ${plumage}`}`;

export function stands(barn: Barn, { body }: Written<Body>, times: 1 | -1 = 1): void {
  const more = times * body.chicks;
  const setting = body.setting === null ? undefined : barn.settings.get(body.setting);
  if (setting) putRow(barn.settings, setting.id, { chicks_seen: setting.chicks_seen + more });
  const brood = barn.broods.get(body.brood);
  if (!brood) return;
  const key = body.plumage ?? '';
  putRow(barn.broods, brood.id, { plumage: { ...brood.plumage, [key]: (brood.plumage[key] ?? 0) + more } });
  // Of a brood that was written with its number, they are among its chicks.
  if (brood.setting === null) return;
  putRow(barn.broods, brood.id, {
    chicks: brood.chicks + more,
    alive: brood.alive + more,
    unlooked: brood.unlooked + more,
  });
}

export const unstands = (barn: Barn, struck: Struck<Body>): void => stands(barn, struck, -1);

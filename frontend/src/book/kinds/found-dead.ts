/** Birds found dead, in a cage or in a brood. */
import type { Bodies } from '../contract.ts';
import { type Barn, moveHeads, putRow, type Struck, total, type Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { after, headsInWords, type Names, plural } from './names.ts';

type Body = Bodies['found_dead'];

const FIELDS = {
  cage: orNull(id),
  brood: orNull(id),
  hens: count(),
  cocks: count(),
  unsexed: count(),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const given = body as Body;
  if ((given.cage === null) === (given.brood === null))
    return wrong('cage', 'or brood must be given, and only one of them');
  if (total(given) === 0)
    return wrong('hens', 'and cocks and unsexed are all 0: say how many were found dead');
  return null;
}

/** More dead than there were. */
export function doubt(body: Body, barn: Barn): string | null {
  const cage = body.cage === null ? undefined : barn.cages.get(body.cage);
  if (cage && (body.hens > cage.hens || body.cocks > cage.cocks || body.unsexed > cage.unsexed))
    return `Cage ${cage.code} holds ${headsInWords(cage)}. Were ${headsInWords(body)} found dead?`;
  const brood = body.brood === null ? undefined : barn.broods.get(body.brood);
  if (brood && total(body) > brood.alive)
    return `Brood ${brood.code} has ${plural(brood.alive, 'bird')} alive. Were ${total(body)} found dead?`;
  return null;
}

export function words(body: Body, names: Names): string {
  const where =
    body.cage !== null ? `Cage ${names.cage(body.cage)}` : `Brood ${names.brood(body.brood as string)}`;
  return `${where}: ${headsInWords(body)} found dead${after(body.note)}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>, times: 1 | -1 = 1): void {
  if (body.cage !== null) moveHeads(barn, body.cage, body, day, times === 1 ? -1 : 1);
  const brood = body.brood === null ? undefined : barn.broods.get(body.brood);
  if (!brood) return;
  // A dead bird is no longer one to look at; which sex it was read as stays written.
  const gone = times * total(body);
  putRow(barn.broods, brood.id, { alive: brood.alive - gone, unlooked: brood.unlooked - gone });
}

export const unstands = (barn: Barn, struck: Struck<Body>): void => stands(barn, struck, -1);

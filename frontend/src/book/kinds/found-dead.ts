/** Birds found dead, in a cage or in a brood. */
import type { Bodies } from '../contract.ts';
import { type Barn, moveHeads, type Struck, total, type Written } from './barn.ts';
import { check as checkFields, count, type Field, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { after, headsInWords, type Names, plural } from './names.ts';

type Body = Bodies['found_dead'];

export const version = 2;

const named: Field = (value) =>
  Array.isArray(value) && value.length <= 200 && value.every((each) => !id(each?.bird) && !id(each?.brood))
    ? null
    : 'must be a list of birds';

const FIELDS = {
  cage: orNull(id),
  brood: orNull(id),
  hens: count(),
  cocks: count(),
  unsexed: count(),
  birds: named,
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
  if (given.birds.length > total(given)) return wrong('birds', 'names more than were found dead');
  if (given.brood !== null && given.birds.some(({ brood }) => brood !== given.brood))
    return wrong('birds', 'must be of the brood that they died in');
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

/** In the cage; what it changes in a brood comes with the other kinds (found-dead-of-brood.ts). */
export function stands(barn: Barn, { day, body }: Written<Body>, times: 1 | -1 = 1): void {
  if (body.cage !== null) moveHeads(barn, body.cage, body, day, times === 1 ? -1 : 1);
}

export const unstands = (barn: Barn, struck: Struck<Body>): void => stands(barn, struck, -1);

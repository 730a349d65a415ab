/** Birds put into a cage: from a brood, from another cage, or from elsewhere. */
import type { Bodies, Day } from '../contract.ts';
import {
  type Barn,
  birdOf,
  moveHeads,
  putRow,
  type Struck,
  total,
  unlookedAfterPlacing,
  type Written,
} from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, wrong } from './fields.ts';
import { all, listOf } from './more-fields.ts';
import { headsInWords, type Names, onDay } from './names.ts';

type Body = Bodies['birds_placed'];

export const version = 2;

const FIELDS = {
  cage: id,
  brood: orNull(id),
  from_cage: orNull(id),
  hens: count(),
  cocks: count(),
  unsexed: count(),
  birds: listOf(all({ bird: id, brood: id }), { most: 200 }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const given = body as Body;
  if (total(given) === 0)
    return wrong('hens', 'and cocks and unsexed are all 0: say how many birds were placed');
  if (given.brood !== null && given.from_cage !== null)
    return wrong('from_cage', 'and brood are both given: birds come from one of them');
  if (given.from_cage === given.cage) return wrong('from_cage', 'is the cage that they were put into');
  if (given.birds.length > total(given))
    return wrong('birds', `names ${given.birds.length} birds, but only ${total(given)} were placed`);
  if (new Set(given.birds.map(({ bird }) => bird)).size < given.birds.length)
    return wrong('birds', 'must name each bird once');
  return null;
}

/** More birds than there are where they come from; birds bought in that are to be kept apart still. */
export function doubt(body: Body, barn: Barn, day: Day): string | null {
  const from = body.from_cage === null ? undefined : barn.cages.get(body.from_cage);
  if (from && total(from) < total(body))
    return `Cage ${from.code} holds ${headsInWords(from)}. Were ${headsInWords(body)} taken out of it?`;
  const brood = body.brood === null ? undefined : barn.broods.get(body.brood);
  if (brood && brood.alive - brood.placed < total(body))
    return `Brood ${brood.code} has ${brood.alive - brood.placed} birds not placed yet. Were ${total(body)} placed?`;
  const until = brood?.quarantine_until ?? null;
  if (brood && until !== null && until >= day)
    return `Brood ${brood.code} was bought in and is to be kept apart until ${onDay(until)}, that day still within. Ask your veterinarian before they stand with others. Place them now?`;
  return null;
}

export function words(body: Body, names: Names): string {
  const from =
    body.brood !== null
      ? ` from brood ${names.brood(body.brood)}`
      : body.from_cage !== null
        ? ` from cage ${names.cage(body.from_cage)}`
        : ' from elsewhere';
  return `Cage ${names.cage(body.cage)}: ${headsInWords(body)} put in${from}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>, times: 1 | -1 = 1): void {
  moveHeads(barn, body.cage, body, day, times);
  if (body.from_cage !== null) moveHeads(barn, body.from_cage, body, day, times === 1 ? -1 : 1);
  const brood = body.brood === null ? undefined : barn.broods.get(body.brood);
  if (brood)
    putRow(barn.broods, brood.id, {
      placed: brood.placed + times * total(body),
      unlooked: unlookedAfterPlacing(brood, times * (body.hens + body.cocks)),
    });
  for (const { bird, brood: of } of body.birds ?? []) {
    const row = birdOf(barn, bird, of);
    const [cage, placed_on] = times === 1 ? [body.cage, day] : [body.from_cage, null];
    barn.birds.set(bird, { ...row, cage, placed_on });
  }
}

export const unstands = (barn: Barn, struck: Struck<Body>): void => stands(barn, struck, -1);

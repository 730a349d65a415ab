/** Birds that leave, from one cage or one brood, with those that are known by their ids among them. */
import type { TakenFrom } from '../contract.ts';
import { total } from './barn.ts';
import { count, type Field, id, orNull, type Refusal, wrong } from './fields.ts';
import { all, listOf } from './more-fields.ts';
import { headsInWords, type Names } from './names.ts';

export const TAKEN_FROM: Record<keyof TakenFrom, Field> = {
  cage: orNull(id),
  brood: orNull(id),
  hens: count(),
  cocks: count(),
  unsexed: count(),
  birds: listOf(all({ bird: id, brood: id }), { most: 200 }),
};

/** done: as in "say how many were sold". */
export function checkTaken(given: TakenFrom, done: string): Refusal | null {
  if (new Set(given.birds.map(({ bird }) => bird)).size < given.birds.length)
    return wrong('birds', 'must name each bird once');
  if ((given.cage === null) === (given.brood === null))
    return wrong('cage', 'or brood must be given, and only one of them');
  if (given.brood !== null && given.birds.some(({ brood }) => brood !== given.brood))
    return wrong('birds', 'must be of the brood that they were taken from');
  if (total(given) === 0) return wrong('hens', `and cocks and unsexed are all 0: say how many ${done}`);
  if (given.birds.length > total(given))
    return wrong('birds', `names ${given.birds.length} birds, but only ${total(given)} ${done}`);
  return null;
}

export function takenInWords(given: TakenFrom, names: Names, done: string): string {
  const where =
    given.cage !== null ? `Cage ${names.cage(given.cage)}` : `Brood ${names.brood(given.brood as string)}`;
  const [only] = given.birds;
  const who = only && total(given) === 1 ? names.bird(only.bird) : headsInWords(given);
  return `${where}: ${who} ${done}`;
}

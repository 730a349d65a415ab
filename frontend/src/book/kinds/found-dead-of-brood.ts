/** What deaths change in a brood and its birds, beside the cage: an egg round does without it. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { leave } from './leaving.ts';

export { check, doubt, version, words } from './found-dead.ts';

type Body = Bodies['found_dead'];

/** One that an older app wrote, and that is still on this phone, names no birds. */
const whole = ({ day, body }: Written<Body>): Written<Body> => ({
  day,
  body: { ...body, birds: body.birds ?? [] },
});

export const stands = (barn: Barn, entry: Written<Body>): void =>
  leave(barn, whole(entry), { how: 'dead', times: 1 });
export const unstands = (barn: Barn, struck: Struck<Body>): void =>
  leave(barn, whole(struck), { how: 'dead', times: -1 });

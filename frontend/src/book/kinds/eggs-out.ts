/** Eggs taken from the store for good: eaten, sold to eat, or thrown away. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, type Refusal, text } from './fields.ts';
import { oneOf } from './more-fields.ts';
import { after, plural } from './names.ts';
import { checkOnce, inAll, storeEggs, take } from './store-eggs.ts';

type Body = Bodies['eggs_out'];

const FIELDS = {
  how: oneOf('eaten', 'sold_to_eat', 'thrown_away'),
  eggs: storeEggs,
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null =>
  checkFields(body, FIELDS) ?? checkOnce((body as Body).eggs);

const HOW = { eaten: 'Eaten', sold_to_eat: 'Sold to eat', thrown_away: 'Thrown away' };

export const words = ({ eggs, how, note }: Body): string =>
  `${HOW[how]}: ${plural(inAll(eggs), 'egg')}${after(note)}`;

export const stands = (barn: Barn, { body }: Written<Body>): void => take(barn, body.how, body.eggs);
export const unstands = (barn: Barn, { body }: Struck<Body>): void => take(barn, body.how, body.eggs, -1);

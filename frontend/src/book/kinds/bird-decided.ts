/** What the person decided of a bird: keep, sell, process, or hold. The last one stands. */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { oneOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

const FIELDS = {
  bird: id,
  brood: id,
  decision: oneOf('keep', 'sell', 'process', 'hold'),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ bird, brood, decision, note }: Bodies['bird_decided'], names: Names): string =>
  `Brood ${names.brood(brood)}, ${names.bird(bird)}: ${decision}${after(note)}`;

export function stands(barn: Barn, { day, body }: Written<Bodies['bird_decided']>): void {
  const bird = birdOf(barn, body.bird, body.brood);
  barn.birds.set(bird.id, { ...bird, decision: body.decision, decided_on: day });
}

export function unstands(barn: Barn, { body, before, last }: Struck<Bodies['bird_decided']>): void {
  if (!last) return;
  putRow(barn.birds, body.bird, {
    decision: before?.body.decision ?? null,
    decided_on: before?.day ?? null,
  });
}

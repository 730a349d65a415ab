/** A treatment of a cage, a brood or a line, and how long its eggs and meat wait. */
import type { Bodies, Id, Subject } from '../contract.ts';
import type { Barn, Written } from './barn.ts';
import { check as checkFields, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { day } from './more-fields.ts';
import { type Names, onDay } from './names.ts';

type Body = Bodies['treated'];

const FIELDS = {
  treatment: id,
  cage: orNull(id),
  brood: orNull(id),
  line: orNull(id),
  what: text({ most: 200 }),
  from_day: day,
  to_day: orNull(day),
  eggs_until: orNull(day),
  meat_until: orNull(day),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const given = body as Body;
  if ([given.cage, given.brood, given.line].filter((each) => each !== null).length !== 1)
    return wrong('cage', 'or brood or line must be given, and only one of them');
  for (const field of ['to_day', 'eggs_until', 'meat_until'] as const) {
    const until = given[field];
    if (until !== null && until < given.from_day) return wrong(field, 'must not be before the first day');
  }
  return null;
}

export function words(body: Body, names: Names): string {
  const who =
    body.cage !== null
      ? `Cage ${names.cage(body.cage)}`
      : body.brood !== null
        ? `Brood ${names.brood(body.brood)}`
        : `Line ${names.line(body.line as string)}`;
  const waits = [
    body.eggs_until !== null && `no eggs until ${onDay(body.eggs_until)}`,
    body.meat_until !== null && `no meat until ${onDay(body.meat_until)}`,
  ].filter((part) => part !== false);
  return [`${who}: ${body.what}, from ${onDay(body.from_day)}`, ...waits].join(', ');
}

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { treatment, cage, brood, line, from_day, to_day, ...row } = body;
  const subject: Subject = cage ? `cage/${cage}` : brood ? `brood/${brood}` : `line/${line as Id}`;
  barn.withdrawals.set(treatment, { ...row, id: treatment, subject, first_day: from_day, last_day: to_day });
}

/** A line as its owner describes it. Written again, it replaces the earlier one whole. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { all, flag, grams, listOf } from './more-fields.ts';

type Body = Bodies['line'];

export const version = 2;

const lifeWeeks = orNull(count({ least: 1 }));
const PLUMAGE = all({ key: text({ most: 20 }), words: text({ most: 120 }), is_type: flag });

const FIELDS = {
  line: id,
  name: text({ most: 120 }),
  other_names: listOf(text({ most: 120 })),
  egg_low_g: orNull(grams),
  egg_high_g: orNull(grams),
  weighing_age_days: count({ least: 1 }),
  sexing_from_day: count({ least: 1 }),
  sexing_to_day: count({ least: 1 }),
  plumage: listOf(PLUMAGE, { most: 12 }),
  candle_on_day: orNull(count({ least: 1 })),
  lockdown_on_day: count({ least: 1 }),
  hatch_on_day: count({ least: 1 }),
  cock_cut_g: orNull(grams),
  hen_cut_g: orNull(grams),
  laying_life_weeks: lifeWeeks,
  hen_breeding_weeks: lifeWeeks,
  cock_breeding_weeks: lifeWeeks,
  storage_limit_days: count({ least: 1 }),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { egg_low_g, egg_high_g, sexing_from_day, sexing_to_day, plumage, ...days } = body as Body;
  if (new Set(plumage.map(({ key }) => key)).size < plumage.length)
    return wrong('plumage', 'must have a key of its own for each class');
  if (plumage.length > 0 && plumage.filter(({ is_type }) => is_type).length !== 1)
    return wrong('plumage', 'must have one class that is the type');
  if (egg_low_g !== null && egg_high_g !== null && egg_high_g < egg_low_g)
    return {
      ...wrong('egg_high_g', ''),
      detail: 'The upper end of the egg band must not be below its lower end.',
    };
  if (sexing_to_day < sexing_from_day)
    return wrong('sexing_to_day', 'must not be before the day sexing begins');
  if (days.lockdown_on_day >= days.hatch_on_day)
    return wrong('hatch_on_day', 'must be after the day of lockdown');
  if (days.candle_on_day !== null && days.candle_on_day > days.lockdown_on_day)
    return wrong('candle_on_day', 'must not be after the day of lockdown');
  return null;
}

/** What a line that an older app wrote, and that is still on this phone, said nothing of: as the house reads it. */
const BEFORE_VERSION_2 = {
  plumage: [],
  candle_on_day: 7,
  lockdown_on_day: 14,
  hatch_on_day: 17,
  cock_cut_g: null,
  hen_cut_g: null,
  laying_life_weeks: null,
  hen_breeding_weeks: null,
  cock_breeding_weeks: null,
  storage_limit_days: 7,
};

export const words = (body: Body): string => `Line ${body.name}`;

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { line, ...row } = body;
  const { claim = null, prices = null, plans = [] } = barn.lines.get(line) ?? {}; // said apart
  barn.lines.set(line, { ...BEFORE_VERSION_2, id: line, claim, prices, plans, ...row });
}

export function unstands(barn: Barn, struck: Struck<Body>): void {
  if (struck.last && struck.before) stands(barn, struck.before);
}

/** The eggs found in one cage in one round: every egg counts; cracked, soiled and thin-shelled are among them. */
import type { Bodies, Day } from '../contract.ts';
import { check as checkFields, count, id, type Refusal, text, wrong } from './fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['egg_count'];

const FIELDS = {
  cage: id,
  round: text({ most: 20 }),
  eggs: count(),
  cracked: count(),
  soiled: count(),
  thin_shelled: count(),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { round, eggs, cracked, soiled, thin_shelled } = body as Body;
  if (round.includes('/')) return wrong('round', 'must not hold a slash');
  const notSound = cracked + soiled + thin_shelled;
  if (notSound > eggs)
    return wrong(
      'eggs',
      `are all that were found: of ${eggs}, ${notSound} cannot be cracked, soiled or thin-shelled`,
    );
  return null;
}

/** One count of a cage, with what decides whose day's eggs it took. */
export interface Collected {
  day: Day;
  afterLay: boolean;
  eggs: number;
}

/** What this cage could have laid: its hens (unsexed ones may be hens), and its counts so far, newest first. */
export interface CouldLay {
  hens: number;
  stockedOn: Day | null;
  before: Collected[];
}

/** An egg may be laid early, or one stayed in a corner at the last round (common practice, no source). */
const MARGIN_EGGS = 1;
const MARGIN_PART = 0.1;
const DAY_MS = 86_400_000;

/** The last day whose lay a count took, in days since 1970: a round before the lay takes what was laid until yesterday. */
const lastLay = ({ day, afterLay }: { day: Day; afterLay: boolean }): number =>
  Date.parse(`${day}T00:00:00Z`) / DAY_MS - (afterLay ? 0 : 1);

/**
 * Asks once more when the hens could hardly have laid so many since the last count: more than one egg a hen and day,
 * one egg and a tenth over. Says nothing of a cage never counted before: nobody knows how long its eggs lay there.
 */
export function doubt(body: Body, now: { day: Day; afterLay: boolean }, could: CouldLay): string | null {
  const until = lastLay(now);
  const earlier = could.before.filter((count) => lastLay(count) <= until);
  const [last] = earlier;
  const from = last
    ? lastLay(last)
    : could.stockedOn !== null
      ? lastLay({ day: could.stockedOn, afterLay: false })
      : null;
  if (could.hens === 0 && body.eggs > 0 && could.stockedOn === null)
    return `This cage has no hens in the book. Were there ${plural(body.eggs, 'egg')}?`;
  if (from === null) return null;
  const days = Math.max(1, until - from);
  // A second round after the same lay shares that lay with the first.
  const taken =
    until === from
      ? earlier.filter((count) => lastLay(count) === until).reduce((sum, c) => sum + c.eggs, 0)
      : 0;
  const most = could.hens * days + Math.max(MARGIN_EGGS, Math.floor(MARGIN_PART * could.hens * days));
  if (body.eggs + taken <= most) return null;
  const span = days === 1 ? 'in one day' : `in ${days} days`;
  const already = taken > 0 ? `, and ${taken} were counted already` : '';
  return `${plural(could.hens, 'hen')} ${span} hardly lay ${plural(body.eggs, 'egg')}${already}. Is ${body.eggs} right?`;
}

export function words(body: Body, names: Names): string {
  const parts = [body.eggs === 0 ? 'no eggs' : plural(body.eggs, 'egg')];
  if (body.cracked) parts.push(`${body.cracked} cracked`);
  if (body.soiled) parts.push(`${body.soiled} soiled`);
  if (body.thin_shelled) parts.push(`${body.thin_shelled} thin-shelled`);
  return `Cage ${names.cage(body.cage)}: ${parts.join(', ')}, ${names.round(body.round)}`;
}

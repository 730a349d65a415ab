/** The kinds of entry, by their names on the wire. Pure: no store, no network, no clock; kinds may not see one another. */
import type { Kind } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import * as birdSexed from './bird-sexed.ts';
import * as birdWeight from './bird-weight.ts';
import * as birdsPlaced from './birds-placed.ts';
import * as brood from './brood.ts';
import * as cage from './cage.ts';
import * as cageNote from './cage-note.ts';
import * as cagePassed from './cage-passed.ts';
import * as eggCount from './egg-count.ts';
import * as eggWeight from './egg-weight.ts';
import * as farm from './farm.ts';
import type { Refusal } from './fields.ts';
import * as foundDead from './found-dead.ts';
import * as headCheck from './head-check.ts';
import * as line from './line.ts';
import type { Names } from './names.ts';
import * as strike from './strike.ts';

/** What every kind has in common. `stands` puts an entry's effect over the rows; `unstands` takes it out of them. */
export interface OneKind {
  check: (body: unknown) => Refusal | null;
  // biome-ignore lint/suspicious/noExplicitAny: each kind takes its own body; the wire's name picks the kind.
  words: (body: any, names: Names) => string;
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  stands?: (barn: Barn, entry: Written<any>) => void;
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  unstands?: (barn: Barn, struck: Struck<any>) => void;
}

/** The version of each kind that this app writes. */
export const VERSION = 1;

export const KINDS: Record<Kind, OneKind> = {
  farm,
  line,
  cage,
  brood,
  birds_placed: birdsPlaced,
  egg_count: eggCount,
  cage_passed: cagePassed,
  found_dead: foundDead,
  head_check: headCheck,
  cage_note: cageNote,
  egg_weight: eggWeight,
  bird_weight: birdWeight,
  bird_sexed: birdSexed,
  strike,
};

/** The kind of that name; undefined for one that this app does not know yet. */
export const kindOf = (name: string): OneKind | undefined =>
  Object.hasOwn(KINDS, name) ? KINDS[name as Kind] : undefined;

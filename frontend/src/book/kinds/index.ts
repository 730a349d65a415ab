/** The kinds of entry, by their names on the wire. Pure: no store, no network, no clock; kinds may not see one another. */
import type { Kind } from '../contract.ts';
import * as cageNote from './cage-note.ts';
import * as cagePassed from './cage-passed.ts';
import * as eggCount from './egg-count.ts';
import * as foundDead from './found-dead.ts';
import type { OneKind } from './kind.ts';
import * as strike from './strike.ts';

/** The version of a kind's body that this app writes. */
export const versionOf = (name: string): number => kindOf(name)?.version ?? 1;

// How an egg count is doubted needs more than what stands: see its own file.
const { check, words } = eggCount;

/** What an egg round writes. */
export const ON_ROUND = {
  egg_count: { check, words },
  cage_passed: cagePassed,
  found_dead: foundDead,
  cage_note: cageNote,
  strike,
} satisfies Partial<Record<Kind, OneKind>>;

const learned = new Map<string, OneKind>(Object.entries(ON_ROUND));

/** Adds kinds that have been loaded. */
export function learn(more: Partial<Record<Kind, OneKind>>): void {
  for (const [name, kind] of Object.entries(more)) learned.set(name, kind);
}

/** The kind of that name; undefined for one that this app does not know, or has not loaded. */
export const kindOf = (name: string): OneKind | undefined => learned.get(name);

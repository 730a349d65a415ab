/**
 * The book as a screen sees it: what stands (pulled rows with this phone's own unsent entries over them), the outbox,
 * how the link to the house is, and what a person can do. Screens import from here only; the book imports no screen.
 */
import type { BeginProgress, Subject } from './contract.ts';
import { nowCorrected, syncing } from './opening.ts';
import type * as People from './trip/people.ts';
import { farm, farmOpen } from './view/shelf.ts';

export { holdUpdates, update } from '../worker/round-open.ts';
export type * from './contract.ts';
export type { Refusal } from './kinds/fields.ts';
export { fetching, type Link, type LinkState, link } from './link.ts';
export { house, lossRead, me, openBook, opened, today } from './opening.ts';
export { CannotReach, Refused } from './refused.ts';
export { type Storage, storage } from './safe-keeping.ts';
export { NotSaved } from './store/outbox.ts';
export type { Beginning } from './trip/people.ts';
export type { EntryView, Place, RoundInCage } from './view/entry-view.ts';
export { isOf } from './view/entry-view.ts';
export { birdsOf, entriesOf, entriesOn, questions, roundsOn } from './view/pages.ts';
export type { Question } from './view/questions.ts';
export {
  asides,
  birdMap as birdsRead,
  broods,
  cages,
  dues,
  eggStore,
  farm,
  figures,
  lines,
  orders,
  people,
  rowsOfTable,
  settings,
  shipments,
  trays,
  withdrawals,
} from './view/shelf.ts';
export { inWords } from './view/words.ts';
export {
  doubt,
  mend,
  newId,
  type Outbox,
  outbox,
  refusal,
  strike,
  undo,
  type WriteOptions,
  write,
} from './writing.ts';

/** Takes the new version and loads the page anew; does nothing while a round is open, in this tab or another. */
export const acceptUpdate = (): void => void import('../worker/register.ts').then((m) => m.takeUpdate());

/** Goes to the house now, with what is stuck too. Resolves when the trip is over, however it went: see `link`. */
export const syncNow = async (): Promise<void> => (await syncing())?.go({ greet: true, byHand: true });

// What no tap of a round needs comes when it is asked for.
const people = () => import('./trip/people.ts');

/** Rejects with `Refused` (wrong name or password, too many tries) or `CannotReach`. */
export const signIn = async (who: People.SignIn): Promise<void> => (await people()).signIn(who);

/** The phone keeps its book and its outbox; without signal the house is told at the next chance. */
export const signOut = async (): Promise<void> => (await people()).signOut();

/** Why nothing can be begun with this one-time link; null where it can, or the house does not answer. */
export const whyNotBegin = async (token: string): Promise<string | null> =>
  (await people()).whyNotBegin(token);

/** Makes the farm and signs in. The example farm takes a while: `onProgress` is told how far it is. */
export const begin = async (
  how: People.Beginning,
  onProgress?: (progress: BeginProgress) => void,
): Promise<void> => (await people()).begin(how, onProgress);

/** Other farms whose entries are still on this phone. They are sent when somebody of that farm signs in here. */
export const otherFarms = async (): Promise<People.OtherFarm[]> => (await people()).otherFarms();

/** Reads older entries of a subject from the house; false when there are no more. Rejects with `CannotReach`. */
export const loadOlder = async (subject: Subject): Promise<boolean> =>
  (await import('./trip/older.ts')).loadOlder(subject);

/** Who stood in the source cages of these trays; empty where the house has not said. */
/** Which living bird wears which band (spaces and case left out), in every brood. */
export const bandsWorn = async () => (await import('./view/bands.ts')).bandsWorn();
export const parentsOf = async (trays: readonly string[]) =>
  (await import('./view/parents.ts')).readParents(trays);

/** Everything unsent, as a JSON file for the house. */
export async function saveOutbox(): Promise<File> {
  const base = farmOpen.peek();
  if (!base) throw new Error('The book is not open: reload the page and try again.');
  const { outboxFile } = await import('./trip/outbox-file.ts');
  const id = base.name.slice('barnbook-'.length);
  return outboxFile(base, { farm: id, name: farm.peek()?.name ?? 'farm', now: nowCorrected() });
}

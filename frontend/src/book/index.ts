/**
 * The book as a screen sees it: what stands (pulled rows with this phone's own unsent entries over them), the outbox,
 * how the link to the house is, and what a person can do. Screens import from here only; the book imports no screen.
 */
import { takeUpdate } from '../worker/register.ts';
import { nowCorrected, syncer } from './opening.ts';
import { outboxFile } from './safe-keeping.ts';
import { farm, farmOpen } from './shelf.ts';

export { holdUpdates, update } from '../worker/register.ts';
export type * from './contract.ts';
export type { EntryView, Place, RoundInCage } from './entry-view.ts';
export { isOf } from './entry-view.ts';
export type { Refusal } from './kinds/fields.ts';
export { loadOlder } from './older.ts';
export { house, me, openBook, opened, today } from './opening.ts';
export { NotSaved } from './outbox.ts';
export { birdsOf, entriesOf, entriesOn, roundsOn } from './pages.ts';
export { type Beginning, begin, otherFarms, signIn, signOut } from './people.ts';
export { CannotReach, Refused } from './request.ts';
export { type Storage, storage } from './safe-keeping.ts';
export { asides, broods, cages, dues, farm, figures, lines, people } from './shelf.ts';
export { type Link, type LinkState, link } from './sync.ts';
export { inWords } from './words.ts';
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
export const acceptUpdate = (): void => void takeUpdate();

/** Goes to the house now, with what is stuck too. Resolves when the trip is over, however it went: see `link`. */
export const syncNow = async (): Promise<void> => syncer()?.go({ greet: true, byHand: true });

/** Everything unsent, as a JSON file for the house. */
export async function saveOutbox(): Promise<File> {
  const base = farmOpen.peek();
  if (!base) throw new Error('The book is not open: reload the page and try again.');
  const id = base.name.slice('barnbook-'.length);
  return outboxFile(base, { farm: id, name: farm.peek()?.name ?? 'farm', now: nowCorrected() });
}

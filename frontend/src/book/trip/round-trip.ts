/** A trip to the house and back: what waits goes out, then the changes come in. Says how it went. */

import type { HouseState, Me, Millis } from '../contract.ts';
import { CannotReach, Refused } from '../refused.ts';
import { readMark, writeMark } from '../store/database.ts';
import { drawnAbove } from '../store/drawn-above.ts';
import { sendAgain } from '../store/verdicts.ts';
import { pull } from './changes.ts';
import { askHouse, dropCursor, type Errand, meet, post } from './errand.ts';
import { type Pushed, push } from './push.ts';

export interface Outcome {
  state: 'in_step' | 'cannot_reach' | 'signed_out' | 'other_house';
  /** One sentence for the person, where something is wrong. */
  problem?: string;
  /** When to try again: after a growing pause, after exactly so long, or not before the person does something. */
  again: 'not_needed' | 'pause' | 'when_asked' | { after: Millis };
}

export interface Trip {
  /** Ask the house who it is and who is signed in, too. */
  greet: boolean;
  /** Send what is stuck, too: the person asked for it. */
  byHand: boolean;
}

const OTHER_HOUSE =
  'This address now belongs to another house than the one this book was kept with. Nothing was sent. ' +
  'Save the outbox as a file, and ask whoever keeps the house.';
const HOUSE_FAILS =
  'The house answers, but cannot take entries just now. They stay on this phone and are tried again.';
const SIGN_IN = 'Sign in again to send what is on this phone.';

/** A restored house is met at most once a trip; more turns are a fault. */
const MOST_TURNS = 4;

export async function roundTrip(errand: Errand, trip: Trip): Promise<Outcome> {
  try {
    if (await signOutOwed(errand)) return signedOut();
    if (trip.greet) {
      const met = await greet(errand);
      if (met) return met;
    }
    if (trip.byHand) await sendAgain(errand.farm, ['stuck']);
    return await bothLegs(errand);
  } catch (error) {
    return outcomeOf(error);
  }
}

async function bothLegs(errand: Errand): Promise<Outcome> {
  for (let turn = 0; turn < MOST_TURNS; turn++) {
    let pushed: Pushed | Refused;
    try {
      pushed = await push(errand);
    } catch (error) {
      // The house is there but takes nothing now: what it has to tell is read all the same.
      if (!(error instanceof Refused) || error.code === 'signed_out' || error.retryAfter !== null)
        throw error;
      pushed = error;
    }
    if (pushed === 'other_house') return otherHouse();
    const meeting = await pull(errand);
    if (meeting === 'other_house') return otherHouse();
    if (meeting === 'new_book') continue;
    await writeMark(errand.farm, 'synced_at', errand.now());
    if (pushed === 'all') return { state: 'in_step', again: 'not_needed' };
    if (pushed === 'house_fails') return { state: 'cannot_reach', problem: HOUSE_FAILS, again: 'pause' };
    return outcomeOf(pushed);
  }
  return { state: 'cannot_reach', problem: HOUSE_FAILS, again: 'pause' };
}

/** A person who signed out without signal is signed out at the house before anything else is said to it. */
async function signOutOwed({ root, ...ways }: Errand): Promise<boolean> {
  if ((await root.use((db) => db.get('marks', 'sign_out_owed'))) === undefined) return false;
  await post({ root, ...ways }, '/api/sign-out', {}).catch((error: unknown) => {
    if (!(error instanceof Refused) || error.status !== 401) throw error;
  });
  await root.use((db) => db.delete('marks', 'sign_out_owed'));
  return true;
}

async function greet(errand: Errand): Promise<Outcome | null> {
  const said = await askHouse(errand, errand.root);
  const meeting = await meet(errand.farm, said);
  if (meeting === 'other_house') return otherHouse();
  if (said.me?.farm.id === farmOf(errand) && (await noteLoss(errand, said.me)))
    errand.told?.({ what: 'lost' });
  errand.told?.({ what: 'house', said });
  await noteVersion(errand, said);
  if (said.me === null) return signedOut();
  if (said.me.farm.id !== farmOf(errand))
    return signedOut('Somebody of another farm is signed in on this phone.');
  await noteMe(errand, said.me);
  return null;
}

const farmOf = (errand: Errand): string => errand.farm.name.slice('barnbook-'.length);

/** A newer house may read what the older one kept for later, and may not fail where it failed. */
async function noteVersion(errand: Errand, said: HouseState): Promise<void> {
  const before = await readMark(errand.farm, 'version');
  if (before === said.version) return;
  if (before !== undefined) await sendAgain(errand.farm, ['later', 'stuck']);
  await writeMark(errand.farm, 'version', said.version);
}

/** The house has had more from this phone than the phone knows of: it has lost what it kept. Kept until it has been read. */
export async function noteLoss({ farm, now }: Pick<Errand, 'farm' | 'now'>, me: Me): Promise<boolean> {
  const lost = await drawnAbove(farm, me.device_seq ?? 0);
  if (lost) await writeMark(farm, 'lost', now());
  return lost;
}

/** Another person or another role may see other rows. */
export async function noteMe(errand: Pick<Errand, 'farm'>, me: Me): Promise<void> {
  const before = await readMark(errand.farm, 'me');
  if (before && (before.person !== me.person || before.role !== me.role)) await dropCursor(errand.farm);
  await writeMark(errand.farm, 'me', me);
}

const otherHouse = (): Outcome => ({ state: 'other_house', problem: OTHER_HOUSE, again: 'when_asked' });
const signedOut = (problem = SIGN_IN): Outcome => ({ state: 'signed_out', problem, again: 'when_asked' });

function outcomeOf(error: unknown): Outcome {
  if (error instanceof CannotReach) return { state: 'cannot_reach', problem: error.message, again: 'pause' };
  if (!(error instanceof Refused)) throw error;
  if (error.code === 'signed_out') return signedOut();
  const problem = error.message;
  if (error.retryAfter !== null)
    return { state: 'cannot_reach', problem, again: { after: error.retryAfter } };
  // The person or an update has to change something first; the entries wait here.
  if ([403, 426].includes(error.status)) return { state: 'cannot_reach', problem, again: 'when_asked' };
  return { state: 'cannot_reach', problem, again: 'pause' };
}

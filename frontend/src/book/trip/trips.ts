/** What goes to the house and comes back: loaded after the first screen stands, for no tap needs it. */
import { askToBeWoken, lookForUpdate } from '../../worker/register.ts';
import type { HouseState, Me } from '../contract.ts';
import { link } from '../link.ts';
import {
  closeFarm,
  house,
  me,
  openFarm,
  readClock,
  rootOf,
  setSyncing,
  syncing,
  touched,
  ways,
} from '../opening.ts';
import { CannotReach } from '../refused.ts';
import { onMishap, setStorage } from '../safe-keeping.ts';
import { type FarmBase, farmBase } from '../store/database.ts';
import { tell } from '../tabs.ts';
import { openEntries, showMarked } from '../view/shelf.ts';
import { askHouse, freshTrouble, meet } from './errand.ts';
import { noteLoss, noteMe } from './round-trip.ts';
import { startSyncing } from './sync.ts';

export function startTrips(base: FarmBase): void {
  const errand = { ...ways, farm: base, root: rootOf(), app: __APP_VERSION__, trouble: freshTrouble() };
  const started = startSyncing(errand, {
    waiting: () => openEntries.peek().filter((kept) => kept.state === 'waiting').length,
    house: (said) => {
      house.value = said;
      // Signed out at the house is not signed out here: who kept the book goes on writing in it.
      if (said.me) me.value = said.me;
      // A house of another version brings another app with it.
      if (said.version !== __APP_VERSION__) void lookForUpdate();
    },
    lost: () => setStorage({ lost: true }),
    held: () => void askToBeWoken(),
    marked: showMarked,
    refresh: touched,
    over: async ({ state, again }) => {
      await readClock(base);
      // Only for a network: a house that answers would be asked again at once, however long it wants to be left alone.
      if (state === 'cannot_reach' && again === 'pause' && openEntries.peek().length > 0) void askToBeWoken();
    },
  });
  setSyncing(started);
}

/** Asks the house who this is, and takes that person's book. False when it cannot be reached. */
export async function firstGreeting(): Promise<boolean> {
  try {
    const said = await askHouse(ways, rootOf());
    house.value = said;
    if (said.me) await adopt(said, said.me);
    return true;
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    const problem = error instanceof CannotReach ? error.message : `The house answered: ${error.message}`;
    link.value = { ...link.peek(), state: 'cannot_reach', problem };
    return false;
  }
}

/** Takes the book of whoever has signed in: another farm's stays in its own store, with its outbox. */
export async function adopt(said: HouseState, who: Me): Promise<void> {
  house.value = said;
  const { farm: theirs } = who;
  const base = farmBase(theirs.id, onMishap);
  await meet(base, said);
  await noteMe({ farm: base }, who);
  await noteLoss({ ...ways, farm: base }, who);
  base.close();
  await rootOf().use(async (db) => {
    const tx = db.transaction(['farms', 'marks'], 'readwrite', { durability: 'strict' });
    await Promise.all([
      tx.objectStore('farms').put({ farm: theirs.id, name: theirs.name, house: said.house }),
      tx.objectStore('marks').put(theirs.id, 'farm'),
      tx.done,
    ]);
  });
  await closeFarm();
  await openFarm(theirs.id);
  tell({ what: 'people' });
  void syncing().then((started) => started?.go({ greet: false, byHand: false }));
}

/** Who is at this phone: signing in and out, and beginning a book. Nothing here touches the outbox. */
import type { BeginProgress, HouseState, Id } from '../contract.ts';
import { house, me, rootOf, ways } from '../opening.ts';
import { CannotReach, Refused } from '../refused.ts';
import { type FarmOnPhone, farmBase, writeMark } from '../store/database.ts';
import { countWaiting } from '../store/verdicts.ts';
import { tell } from '../tabs.ts';
import { farmOpen } from '../view/shelf.ts';
import { askHouse, post } from './errand.ts';
import { ask } from './request.ts';
import { adopt } from './trips.ts';

const errand = () => ({ ...ways, root: rootOf() });

export async function keepState(said: HouseState): Promise<void> {
  const root = rootOf();
  await root.use(async (db) => {
    await Promise.all([db.put('marks', said.csrf, 'csrf'), db.delete('marks', 'sign_out_owed')]);
  });
  house.value = said;
  if (said.me) await adopt(said, said.me);
}

export interface SignIn {
  name: string;
  password: string;
  deviceName: string;
}

/** Rejects with `Refused` (wrong name or password, too many tries) or `CannotReach`. */
export async function signIn(who: SignIn): Promise<void> {
  house.value = await askHouse(ways, rootOf());
  const body = { name: who.name, password: who.password, device_name: who.deviceName };
  const { said } = await post<HouseState>(errand(), '/api/sign-in', body);
  await keepState(said);
}

/** The phone keeps its book and its outbox. Without signal, the house is told at the next chance, before anything else. */
export async function signOut(): Promise<void> {
  await rootOf().use((db) => db.put('marks', 'yes', 'sign_out_owed'));
  const base = farmOpen.peek();
  if (base) await writeMark(base, 'me', null);
  me.value = null;
  tell({ what: 'people' });
  try {
    const { said } = await post<HouseState>(errand(), '/api/sign-out', {});
    await keepState(said);
  } catch (error) {
    if (!(error instanceof CannotReach) && !(error instanceof Refused)) throw error;
  }
}

export interface Beginning {
  token: string;
  choice: 'empty' | 'example';
  farmName?: string;
  zone?: string;
  name?: string;
  password?: string;
  deviceName: string;
}

const ASK_AGAIN_MS = 700;

/** Makes the farm and signs in. The example farm takes a while: `onProgress` is told how far it is. */
export async function begin(how: Beginning, onProgress?: (progress: BeginProgress) => void): Promise<void> {
  house.value = await askHouse(ways, rootOf());
  const body = {
    token: how.token,
    choice: how.choice,
    device_name: how.deviceName,
    ...(how.farmName !== undefined && { farm_name: how.farmName }),
    ...(how.zone !== undefined && { zone: how.zone }),
    ...(how.name !== undefined && { name: how.name }),
    ...(how.password !== undefined && { password: how.password }),
  };
  const first = await post<HouseState>(errand(), '/api/begin', body);
  if (first.status !== 202) return keepState(first.said);
  await untilReady(how.token, onProgress);
  const { said, status } = await post<HouseState>(errand(), '/api/begin', body);
  if (status === 202) throw new CannotReach('The example farm is still being made. Try again in a moment.');
  await keepState(said);
}

const progressPath = (token: string) => `/api/begin/progress?token=${encodeURIComponent(token)}`;

/** Why nothing can be begun with this link, as the house says it; null where it can, or the house does not answer. */
export async function whyNotBegin(token: string): Promise<string | null> {
  try {
    await ask<BeginProgress>(ways, progressPath(token), { anyShape: true });
    return null;
  } catch (error) {
    return error instanceof Refused && error.code === 'link_used_or_wrong' ? error.message : null;
  }
}

async function untilReady(token: string, onProgress?: (progress: BeginProgress) => void): Promise<void> {
  for (;;) {
    const { said } = await ask<BeginProgress>(ways, progressPath(token), { anyShape: true });
    onProgress?.(said);
    if (said.state === 'ready') return;
    if (said.state === 'failed')
      throw new Refused(said.detail ?? 'The example farm could not be made.', { code: 'example_failed' });
    await new Promise((resolve) => setTimeout(resolve, ASK_AGAIN_MS));
  }
}

export type OtherFarm = FarmOnPhone & { waiting: number };

/** Other farms whose entries are still on this phone. They are sent when somebody of that farm signs in here. */
export async function otherFarms(): Promise<OtherFarm[]> {
  const farms = await rootOf().use((db) => db.getAll('farms'));
  const open = farmOpen.peek()?.name;
  const others = farms.filter(({ farm }) => `barnbook-${farm}` !== open);
  return Promise.all(others.map(async (each) => ({ ...each, waiting: await waitingIn(each.farm) })));
}

async function waitingIn(farm: Id): Promise<number> {
  const base = farmBase(farm);
  try {
    return await countWaiting(base);
  } finally {
    base.close();
  }
}

/** Who works at the farm and on which phones: asked of the house each time, by owners; and coming in by a code. */
import type { HouseState, Id, Role } from '../contract.ts';
import { house, rootOf, ways } from '../opening.ts';
import { unsafely } from './customers.ts';
import { askHouse } from './errand.ts';
import { keepState } from './people.ts';
import { ask } from './request.ts';

export interface Somebody {
  id: Id;
  name: string;
  role: Role;
  active: boolean;
  signs_in: boolean;
}

export type SomebodyTyped = Pick<Somebody, 'name' | 'role' | 'active'>;

export interface Code {
  code: string;
  link: string;
  /** The link as a picture: a data address. */
  qr: string;
  minutes: number;
  new_password: boolean;
}

export interface KnownPhone {
  id: Id;
  name: string;
  people: string[];
  first_seen: string;
  last_seen: string | null;
  app: string;
  waiting: number;
  unpaired_at: string | null;
  this: boolean;
}

export interface ComesIn {
  name: string;
  farm: string;
  role: Role;
  new_password: boolean;
}

const rows = async <T>(path: string): Promise<T[]> =>
  (await ask<{ rows: T[] }>(ways, path, { anyShape: true })).said.rows;

export const everybody = (): Promise<Somebody[]> => rows('/api/people');
export const phones = (): Promise<KnownPhone[]> => rows('/api/phones');

export const askIn = (name: string, role: Role): Promise<Somebody> =>
  unsafely('POST', '/api/people', { name, role });
export const change = (id: Id, typed: SomebodyTyped): Promise<Somebody> =>
  unsafely('PUT', `/api/people/${id}`, typed);
export const drawCode = (id: Id, newPassword: boolean): Promise<Code> =>
  unsafely('POST', `/api/people/${id}/code`, { new_password: newPassword });
export const unpair = (id: Id): Promise<KnownPhone> => unsafely('POST', `/api/phones/${id}/unpair`, {});

/** Whom a code brings in. Rejects with `Refused` (`code_ended`) or `CannotReach`. */
export const whoComesIn = async (code: string): Promise<ComesIn> =>
  (await ask<ComesIn>(ways, `/api/join?code=${encodeURIComponent(code)}`, { anyShape: true })).said;

/** Uses the code up, and is signed in on this device. */
export async function comeIn(code: string, password: string, deviceName: string): Promise<void> {
  house.value = await askHouse(ways, rootOf());
  const body = { code, password, device_name: deviceName };
  await keepState(await unsafely<HouseState>('POST', '/api/join', body));
}

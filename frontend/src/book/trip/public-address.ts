/** Where the house answers to strangers: set by the owner, checked and kept by the house, and nothing of it on the phone. */
import { ways } from '../opening.ts';
import { unsafely } from './customers.ts';
import { ask } from './request.ts';

export interface PublicAddress {
  /** Without a slash at its end; empty where there is none. */
  address: string;
  /** `environment`: where the house is started, and changed only there. */
  set_by: 'environment' | 'owner' | '';
  /** Why it gives no links just now, as a sentence; empty where it leads to this house. */
  why_not: string;
}

const PATH = '/api/public-address';
/** The house goes out and looks: so long it may take. */
const PATIENCE_MS = 30_000;

/** Rejects as `ask`. */
export const publicAddress = async (): Promise<PublicAddress> =>
  (await ask<PublicAddress>(ways, PATH, { anyShape: true, timeout: PATIENCE_MS })).said;

/** Rejects with `Refused`, a sentence, where it does not lead to this house. */
export const setPublicAddress = (address: string): Promise<PublicAddress> =>
  unsafely('PUT', PATH, { address }, PATIENCE_MS);

export const unsetPublicAddress = (): Promise<PublicAddress> => unsafely('DELETE', PATH);

/**
 * People outside the barn, and the links that they are given: asked of the house each time, by owners, and kept nowhere on
 * the phone. So they are not there without signal; what is erased at the house is gone from here, too.
 */
import type { Day, Id, Millis } from '../contract.ts';
import { rootOf, ways } from '../opening.ts';
import { Refused } from '../refused.ts';
import { askHouse } from './errand.ts';
import { type Asked, ask } from './request.ts';

export interface Customer {
  id: Id;
  name: string;
  contact: string;
  remarks: string;
  since: Day;
}

export type CustomerTyped = Pick<Customer, 'name' | 'contact' | 'remarks'>;

/** Asks with the token, and once more with a new one when the house no longer knows it. */
export async function unsafely<T>(
  method: NonNullable<Asked['method']>,
  path: string,
  body?: unknown,
  timeout?: Millis,
): Promise<T> {
  const root = rootOf();
  const once = async (): Promise<T> => {
    const csrf = await root.use((db) => db.get('marks', 'csrf'));
    const how: Asked = { method, csrf, anyShape: true };
    if (body !== undefined) how.body = body;
    if (timeout !== undefined) how.timeout = timeout;
    return (await ask<T>(ways, path, how)).said;
  };
  try {
    return await once();
  } catch (error) {
    if (!(error instanceof Refused) || error.code !== 'csrf') throw error;
    await askHouse(ways, root);
    return once();
  }
}

interface Page {
  rows: Customer[];
  next: number | null;
}

/** All of them, by name. Rejects with `Refused` (not the owner) or `CannotReach`. */
export async function customers(): Promise<Customer[]> {
  const found: Customer[] = [];
  for (let after: number | null = 0; after !== null; ) {
    const { said }: { said: Page } = await ask<Page>(ways, `/api/customers?after=${after}&limit=1000`, {
      anyShape: true,
    });
    found.push(...said.rows);
    after = said.next;
  }
  return found;
}

/** Writes somebody down, or anew. Asked twice with one id, it writes one. */
export const keepCustomer = (id: Id, typed: CustomerTyped): Promise<Customer> =>
  unsafely('PUT', `/api/customers/${id}`, typed);

/** Erases somebody for good. `due`: the traces in the book's file are removed within minutes. */
export const eraseCustomer = (id: Id): Promise<{ traces: 'gone' | 'due' }> =>
  unsafely('DELETE', `/api/customers/${id}`);

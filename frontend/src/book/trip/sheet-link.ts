/** The public link to a line's sheet: the owner turns it on and off at the house. It is kept nowhere on the phone. */
import type { Id } from '../contract.ts';
import { ways } from '../opening.ts';
import { unsafely } from './customers.ts';
import { ask } from './request.ts';

export interface SheetLink {
  /** Null: it is off. */
  url: string | null;
  /** Why no link can be given here, as a sentence; empty where one can. */
  why_not: string;
}

/** Rejects as `ask`. */
export async function sheetLink(line: Id): Promise<SheetLink> {
  return (await ask<SheetLink>(ways, `/api/lines/${line}/sheet-link`, { anyShape: true })).said;
}

/** Rejects as `unsafely`. */
export const turnSheetLink = (line: Id, on: boolean): Promise<unknown> =>
  unsafely(on ? 'POST' : 'DELETE', `/api/lines/${line}/sheet-link`);

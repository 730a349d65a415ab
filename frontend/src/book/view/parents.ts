/** Who stood in the source cages of some trays on the days their eggs were laid, as the house worked it out. */
import type { Id, ParentsRow } from '../contract.ts';
import { farmOpen } from './shelf.ts';

export async function readParents(trays: readonly Id[]): Promise<ParentsRow[]> {
  const base = farmOpen.peek();
  if (!base) return [];
  const kept = await base.use((db) => Promise.all(trays.map((tray) => db.get('rows', ['parents', tray]))));
  return kept.flatMap((each) => (each ? [each.row as unknown as ParentsRow] : []));
}

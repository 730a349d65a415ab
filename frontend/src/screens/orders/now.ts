/** The orders as they stand: one reading of the book for every page about them. */
import { eggStore, type Id, lines, orders, rowsOfTable, shipments, today } from '../../book/index.ts';
import { type Shelf, shelfOf } from '../egg-store/shelf.ts';
import { canPromiseOf } from './can-promise-of.ts';
import { packedFor, type SetAside, setAside, stateOf } from './open-orders.ts';

export const shelfOfLine = (line: Id): Shelf | undefined => {
  const row = lines.value.find((l) => l.id === line);
  return (
    row &&
    shelfOf(row, {
      store: eggStore.value.values(),
      withheld: rowsOfTable('withheld').value,
      today: today.value,
      unknownBefore: canPromiseOf(line)?.unknown_before ?? 0,
    })
  );
};

export const planNow = (): SetAside[] =>
  setAside(orders.value.values(), {
    shipments: shipments.value.values(),
    shelves: lines.value.flatMap((line) => shelfOfLine(line.id) ?? []),
    today: today.value,
  });

/** How sure a promised order is now, by the house's last word. */
export const sureNow = (order: Id): { sure: number; short: number } | undefined => {
  for (const row of rowsOfTable('can_promise').value)
    for (const each of row.orders) if (each.order === order) return each;
  return undefined;
};

export const stateNow = (id: Id) => {
  const order = orders.value.get(id);
  return order && stateOf(order, packedFor(id, shipments.value.values()));
};

export const lineName = (line: Id): string =>
  lines.value.find((l) => l.id === line)?.name ?? 'a line not here yet';

/** Eggs put into boxes, each line and day laid apart. Written again, it replaces: the eggs of the one go back. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { all, listOf } from './more-fields.ts';
import { after, plural } from './names.ts';
import { checkOnce, inAll, MOST, STORE_EGGS, take } from './store-eggs.ts';

type Body = Bodies['packed'];

const FIELDS = {
  shipment: id,
  code: text({ most: 40 }),
  customer: orNull(id),
  eggs: listOf(all({ order: orNull(id), ...STORE_EGGS }), { least: 1, most: MOST }),
  boxes: orNull(count({ least: 1 })),
  box_holds: orNull(count({ least: 1 })),
  packing: text({ most: 80, blank: true }),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS) ?? checkOnce((body as Body).eggs);
  if (refused) return refused;
  const { boxes, box_holds, eggs } = body as Body;
  if ((boxes === null) !== (box_holds === null))
    return wrong(
      boxes === null ? 'boxes' : 'box_holds',
      'must be given too: how many boxes, and how many eggs one holds',
    );
  if (boxes !== null && box_holds !== null && boxes * box_holds < inAll(eggs))
    return wrong('boxes', `are too few: ${boxes} of ${box_holds} do not hold ${inAll(eggs)} eggs`);
  return null;
}

export function words({ code, eggs, boxes, note }: Body): string {
  const into = boxes === null ? '' : ` in ${plural(boxes, 'box', 'boxes')}`;
  return `Shipment ${code} packed: ${plural(inAll(eggs), 'egg')}${into}${after(note)}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const { shipment, ...row } = body;
  const before = barn.shipments.get(shipment);
  if (before) take(barn, 'packed', before.eggs, -1);
  take(barn, 'packed', body.eggs);
  barn.shipments.set(shipment, {
    sent_on: null,
    sent_by: '',
    ...before,
    ...row,
    id: shipment,
    packed_on: day,
  });
}

export function unstands(barn: Barn, { before, body }: Struck<Body>): void {
  if (before) stands(barn, before);
  else {
    take(barn, 'packed', barn.shipments.get(body.shipment)?.eggs ?? [], -1);
    barn.shipments.delete(body.shipment);
  }
}

/** The egg store as the phone knows it before the house does: its own entries over the pulled rows. */
import { describe, expect, it } from 'vitest';
import type { Bodies, CageRow, FarmRow } from '../contract.ts';
import type { Barn } from './barn.ts';
import * as eggCount from './egg-count-in-store.ts';
import * as eggsOut from './eggs-out.ts';
import * as eggsSet from './eggs-set.ts';
import * as packed from './packed.ts';
import * as storeSeen from './store-seen.ts';

const DAY = '2026-03-10';

function barn(): Barn {
  const rounds = [
    { key: 'morning', name: 'Morning', after_lay: false },
    { key: 'evening', name: 'Evening', after_lay: true },
  ];
  return {
    farm: { rounds } as unknown as FarmRow,
    lines: new Map(),
    cages: new Map([['c', { id: 'c', line: 'l' } as CageRow]]),
    broods: new Map(),
    birds: new Map(),
    settings: new Map(),
    trays: new Map(),
    withdrawals: new Map(),
    store: new Map(),
    orders: new Map(),
    shipments: new Map(),
  };
}

const count = (round: string, eggs: number, cracked = 0): { day: string; body: Bodies['egg_count'] } => ({
  day: DAY,
  body: { cage: 'c', round, eggs, cracked, soiled: 0, thin_shelled: 0 },
});
const leftOn = (b: Barn, day: string) => b.store.get(`l/${day}`)?.left;
const box = (eggs: number, day = '2026-03-09'): { day: string; body: Bodies['packed'] } => ({
  day: DAY,
  body: {
    shipment: 's',
    code: 'P-1',
    customer: null,
    eggs: [{ order: null, line: 'l', laid_on: day, eggs }],
    boxes: null,
    box_holds: null,
    packing: '',
    note: '',
  },
});

describe('the egg store', () => {
  it('holds the sound eggs of a round by the last day whose lay it found', () => {
    const b = barn();
    eggCount.stands(b, count('morning', 5, 1));
    eggCount.stands(b, count('evening', 3));
    expect([leftOn(b, '2026-03-09'), leftOn(b, DAY)]).toEqual([4, 3]);
  });

  it('gives eggs to settings, to boxes and to the kitchen, and gets them back when that is struck', () => {
    const b = barn();
    eggCount.stands(b, count('morning', 9));
    const out = {
      day: DAY,
      body: { how: 'eaten' as const, eggs: [{ line: 'l', laid_on: '2026-03-09', eggs: 2 }], note: '' },
    };
    eggsOut.stands(b, out);
    packed.stands(b, box(4));
    expect(leftOn(b, '2026-03-09')).toBe(3);
    packed.stands(b, box(5));
    expect(leftOn(b, '2026-03-09')).toBe(2);
    packed.unstands(b, { ...box(5), before: null, last: true });
    eggsOut.unstands(b, { ...out, before: null, last: true });
    expect([leftOn(b, '2026-03-09'), b.shipments.size]).toEqual([9, 0]);
  });

  it('takes the eggs of a setting written again only once', () => {
    const b = barn();
    const set = (eggs: number) => ({
      day: DAY,
      body: {
        setting: 's',
        code: '1',
        incubator: '',
        set_on: DAY,
        trays: [{ tray: 't', name: '1', line: 'l', cage: null, eggs: [{ laid_on: '2026-03-09', eggs }] }],
        note: '',
      },
    });
    eggsSet.stands(b, set(6));
    eggsSet.stands(b, set(4));
    expect(b.store.get('l/2026-03-09')).toMatchObject({ set: 4, left: -4 });
  });

  it('is what somebody saw, whatever was reckoned before; taking more than there is goes below none', () => {
    const b = barn();
    eggCount.stands(b, count('morning', 9));
    storeSeen.stands(b, {
      day: DAY,
      body: { eggs: [{ line: 'l', laid_on: '2026-03-09', eggs: 7 }], note: '' },
    });
    packed.stands(b, box(8));
    expect(b.store.get('l/2026-03-09')).toMatchObject({ collected: 9, seen: 7, seen_on: DAY, left: -1 });
  });
});

/** A phone for the tests of the trip: its store, a house, and entries to write. No page, no signals. */
import { v7 } from 'uuid';
import type { Bodies, Day, Id, Kind, Me } from '../contract.ts';
import { farmBase, type Kept, rootBase, writeMark } from '../store/database.ts';
import { append } from '../store/outbox.ts';
import { type Errand, freshTrouble } from '../trip/errand.ts';
import { type Outcome, roundTrip, type Trip } from '../trip/round-trip.ts';
import { FakeHouse } from './fake-house.ts';

export const CAGE: Id = v7();
export const TODAY: Day = '2026-03-14';

export const eggs = (count: number, cage: Id = CAGE): Bodies['egg_count'] => ({
  cage,
  round: 'morning',
  eggs: count,
  cracked: 0,
  soiled: 0,
  thin_shelled: 0,
});

export interface Phone {
  me: Me;
  errand: Errand;
  /** Another tab: a second connection to the same store. */
  another(): Phone;
  write<K extends Kind>(
    kind: K,
    body: Bodies[K],
    change?: { day?: Day; mends?: Id; author?: Id },
  ): Promise<Kept>;
  trip(how?: Partial<Trip>): Promise<Outcome>;
  kept(): Promise<Kept[]>;
  close(): void;
}

let clock = Date.parse('2026-03-14T07:00:00Z');
export const setClockTo = (moment: number): void => {
  clock = moment;
};
export const tick = (by: number): void => {
  clock += by;
};
export const now = (): number => clock;

export function phoneOf(house: FakeHouse, me: Me = house.signedIn as Me): Phone {
  const farm = farmBase(me.farm.id);
  const root = rootBase();
  house.now = now;
  const errand: Errand = {
    fetch: house.fetch as typeof fetch,
    now,
    farm,
    root,
    app: '0.1.0',
    trouble: freshTrouble(),
  };
  return {
    me,
    errand,
    another: () => phoneOf(house, me),
    write: (kind, body, { author = me.person, day = TODAY, mends } = {}) =>
      append(
        farm,
        { author, kind, version: 1, day, zone: 'Europe/Vienna', body, ...(mends !== undefined && { mends }) },
        now(),
      ),
    trip: (how = {}) => roundTrip(errand, { greet: false, byHand: false, ...how }),
    kept: () => farm.use((db) => db.getAll('outbox')),
    close: () => {
      farm.close();
      root.close();
    },
  };
}

/** A phone that has spoken with its house before. */
export async function pairedPhone(
  house: FakeHouse = new FakeHouse(),
): Promise<{ house: FakeHouse; phone: Phone }> {
  const phone = phoneOf(house);
  await phone.errand.root.use((db) => db.put('marks', phone.me.farm.id, 'farm'));
  await writeMark(phone.errand.farm, 'me', phone.me);
  await phone.trip({ greet: true });
  house.asked = [];
  return { house, phone };
}

export const pushes = (house: FakeHouse): { entries: { id: Id; device_seq: number }[]; waiting: number }[] =>
  house.asked
    .filter(({ path }) => path === '/api/push')
    .map(({ body }) => body as { entries: { id: Id; device_seq: number }[]; waiting: number });

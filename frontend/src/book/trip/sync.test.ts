import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { link } from '../link.ts';
import { eggs, type Phone, pairedPhone, pushes } from '../testing/a-phone.ts';
import type { FakeHouse } from '../testing/fake-house.ts';
import type { Outcome } from './round-trip.ts';
import { type Syncing, startSyncing } from './sync.ts';

let house: FakeHouse;
let phone: Phone;
let syncing: Syncing;
let page: EventTarget;
let screen: EventTarget & { visibilityState: string };
let trips: Outcome[];
let held: number;

const NOW = { greet: false, byHand: false };
const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);
/** Lets a trip that is under way come to its end. */
const home = (count: number) =>
  vi.waitFor(async () => {
    await vi.advanceTimersByTimeAsync(0);
    expect(trips).toHaveLength(count);
  });

beforeEach(async () => {
  ({ house, phone } = await pairedPhone());
  page = new EventTarget();
  screen = Object.assign(new EventTarget(), { visibilityState: 'visible' });
  vi.stubGlobal('addEventListener', page.addEventListener.bind(page));
  vi.stubGlobal('removeEventListener', page.removeEventListener.bind(page));
  vi.stubGlobal('document', screen);
  vi.spyOn(Math, 'random').mockReturnValue(1);
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setInterval', 'clearInterval'] });
  link.value = { state: 'in_step', lastSyncedAt: 1 };
  trips = [];
  held = 0;
  syncing = startSyncing(phone.errand, {
    waiting: () => 1,
    house: () => {},
    lost: () => {},
    held: () => {
      held += 1;
    },
    marked: () => {},
    refresh: async () => {},
    over: (outcome) => {
      trips.push(outcome);
    },
  });
});

afterEach(() => {
  syncing.stop();
  vi.useRealTimers();
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

test('entries written one after another go together, soon after the first', async () => {
  for (let at = 0; at < 3; at++) {
    await phone.write('egg_count', eggs(at));
    syncing.soon();
    await pass(400);
  }
  expect(house.asked).toEqual([]);
  await pass(300);
  await home(1);
  expect(pushes(house).map(({ entries }) => entries.length)).toEqual([3]);
});

test('a house that cannot be reached is tried again for ever, after pauses from 1 s to 5 min', async () => {
  house.reachable = false;
  await phone.write('egg_count', eggs(1));
  void syncing.go(NOW);
  await home(1);
  let tries = 1;
  for (const pause of [1, 2, 4, 8, 16, 32, 64, 128, 256, 300, 300]) {
    await pass(pause * 1000 - 1);
    expect(trips).toHaveLength(tries);
    await pass(1);
    tries += 1;
    await home(tries);
  }
  expect(link.value).toMatchObject({ state: 'cannot_reach', problem: 'The house cannot be reached.' });
  house.reachable = true;
  await pass(300_000);
  await home(tries + 1);
  expect(house.journal.size).toBe(1);
  expect(link.value.state).toBe('in_step');
});

test('a write does not shorten the pause, but lets the browser be asked to wake the worker', async () => {
  house.reachable = false;
  void syncing.go(NOW);
  await home(1);
  house.reachable = true;
  syncing.soon();
  syncing.soon();
  await pass(999);
  expect(trips).toHaveLength(1);
  await pass(501);
  expect(held).toBe(1);
});

test('a house that asks to be left alone is, for exactly so long', async () => {
  await phone.write('egg_count', eggs(1));
  house.faults = [{ status: 503, problem: 'busy', headers: { 'Retry-After': '40' } }];
  syncing.soon(); // of a write that the trip takes along
  void syncing.go(NOW);
  await home(1);
  syncing.soon();
  page.dispatchEvent(new Event('online'));
  await pass(39_999);
  expect(trips).toHaveLength(1);
  expect(held).toBe(0);
  await pass(1);
  await home(2);
  expect(house.journal.size).toBe(1);
});

test('but a person who asks is not kept waiting', async () => {
  await phone.write('egg_count', eggs(1));
  house.faults = [{ status: 503, problem: 'busy', headers: { 'Retry-After': '40' } }];
  void syncing.go(NOW);
  await home(1);
  void syncing.go({ greet: false, byHand: true });
  await home(2);
  expect(house.journal.size).toBe(1);
  await pass(60_000);
});

test('signed out: no more is tried but to look, each minute, whether somebody has signed in', async () => {
  const me = house.signedIn;
  house.signedIn = null;
  await phone.write('egg_count', eggs(1));
  void syncing.go(NOW);
  await home(1);
  syncing.soon();
  await pass(59_000);
  expect(trips).toHaveLength(1);
  house.signedIn = me;
  await pass(2000);
  await home(2);
  expect(house.journal.size).toBe(1);
});

test('another house: nothing is tried until the person asks', async () => {
  house.house = 'another';
  void syncing.go(NOW);
  await home(1);
  syncing.soon();
  await pass(600_000);
  expect(trips).toHaveLength(1);
  void syncing.go({ greet: true, byHand: true });
  await home(2);
});

test.each([
  ['online', () => page.dispatchEvent(new Event('online'))],
  ['back on the screen', () => screen.dispatchEvent(new Event('visibilitychange'))],
])('%s: goes at once, whatever the pause', async (_, happens) => {
  house.reachable = false;
  void syncing.go(NOW);
  await home(1);
  house.reachable = true;
  happens();
  await home(2);
  expect(link.value.state).toBe('in_step');
});

test('off the screen nothing is looked for; on it, each minute', async () => {
  screen.visibilityState = 'hidden';
  screen.dispatchEvent(new Event('visibilitychange'));
  await pass(180_000);
  expect(trips).toEqual([]);
  screen.visibilityState = 'visible';
  await pass(60_000);
  await home(1);
});

test('figures are computed some time after entries came: the changes are asked for again', async () => {
  await phone.write('egg_count', eggs(1));
  void syncing.go(NOW);
  await home(1);
  for (const [at, pause] of [3000, 3000, 6000, 18_000].entries()) {
    await pass(pause);
    await home(at + 2);
  }
  await pass(25_000);
  expect(trips).toHaveLength(5);
});

test('one trip at a time: whatever is asked for meanwhile goes as one more', async () => {
  const going = [syncing.go(NOW), syncing.go(NOW), syncing.go({ greet: true, byHand: false })];
  await home(2);
  await Promise.all(going);
  await pass(1000);
  expect(trips).toHaveLength(2);
  expect(house.asked.filter(({ path }) => path === '/api/house')).toHaveLength(1);
});

test('a book that is put away stops everything', async () => {
  house.reachable = false;
  void syncing.go(NOW);
  await home(1);
  syncing.stop();
  page.dispatchEvent(new Event('online'));
  await pass(600_000);
  expect(trips).toHaveLength(1);
});

import { describe, expect, test } from 'vitest';
import { readMark } from '../store/database.ts';
import { eggs, now, type Phone, pairedPhone, pushes, tick } from '../testing/a-phone.ts';
import type { FakeHouse, Fault } from '../testing/fake-house.ts';
import { fitting, MOST_BYTES } from './push.ts';

async function waiting(count: number): Promise<{ house: FakeHouse; phone: Phone; ids: string[] }> {
  const { house, phone } = await pairedPhone();
  const ids: string[] = [];
  for (let at = 0; at < count; at++) ids.push((await phone.write('egg_count', eggs(at % 9))).id);
  return { house, phone, ids };
}

const states = async (phone: Phone) => (await phone.kept()).map(({ state }) => state);

test('entries go in the order in which they were made, at most 500 at once, saying how many wait', async () => {
  const { house, phone, ids } = await waiting(1203);
  expect(await phone.trip()).toMatchObject({ state: 'in_step' });
  const sent = pushes(house);
  expect(sent.map(({ entries }) => entries.length)).toEqual([500, 500, 203]);
  expect(sent.map(({ waiting }) => waiting)).toEqual([1203, 703, 203]);
  expect(sent.flatMap(({ entries }) => entries.map(({ id }) => id))).toEqual(ids);
  const seqs = sent.flatMap(({ entries }) => entries.map(({ device_seq }) => device_seq));
  expect(seqs).toEqual([...seqs].sort((a, b) => a - b));
});

test('a batch is at most 256 KiB, counted in bytes and not in letters', async () => {
  const { house, phone } = await pairedPhone();
  for (let at = 0; at < 200; at++)
    await phone.write('cage_note', { cage: eggs(0).cage, text: 'Ü'.repeat(500 - (at % 7)) + at });
  for (let at = 0; at < 100; at++)
    await phone.write('cage_note', { cage: eggs(0).cage, text: '🐣'.repeat(500) });
  await phone.trip();
  const sizes = pushes(house).map((batch) => new TextEncoder().encode(JSON.stringify(batch)).length);
  expect(sizes.length).toBeGreaterThan(1);
  expect(Math.max(...sizes)).toBeLessThanOrEqual(256 * 1024);
  expect(house.journal.size).toBe(300);
});

test('one entry larger than a batch still goes, alone', async () => {
  const { phone } = await waiting(2);
  const kept = await phone.kept();
  const huge = kept.map((each) => ({ ...each, entry: { ...each.entry, zone: 'x'.repeat(MOST_BYTES) } }));
  expect(fitting(huge)).toHaveLength(1);
});

describe('entries stay as they are when', () => {
  const faults: [string, Fault][] = [
    ['the request never arrives', 'cut'],
    ['a portal answers 200 with a page of its own', 'portal'],
    ['a portal redirects', 'redirect'],
    ['a proxy answers 502', { status: 502, body: 'Bad gateway' }],
    ['something answers 401 that is not the house', { status: 401, body: '<h1>Log in</h1>' }],
    ['the answer is for another batch', { change: (said) => ({ ...said, batch: 'another' }) }],
    ['the answer is of another protocol', { change: (said) => ({ ...said, protocol: 2 }) }],
    ['the answer does not say which house it is', { change: ({ house: _, ...said }) => said }],
    [
      'a verdict is missing',
      { change: (said) => ({ ...said, verdicts: (said.verdicts as unknown[]).slice(1) }) },
    ],
    [
      'a verdict is for another entry',
      {
        change: (said) => ({
          ...said,
          verdicts: [
            { id: 'x', verdict: 'written' },
            { id: 'y', verdict: 'written' },
          ],
        }),
      },
    ],
    [
      'a verdict is a word nobody knows',
      {
        change: (said) => ({
          ...said,
          verdicts: (said.verdicts as object[]).map((v) => ({ ...v, verdict: 'fine' })),
        }),
      },
    ],
    ['the answer is a bare list', { change: () => [] }],
  ];
  test.each(faults)('%s', async (_, fault) => {
    const { house, phone, ids } = await waiting(2);
    house.faults = [fault];
    expect(await phone.trip()).toMatchObject({ state: 'cannot_reach', again: 'pause' });
    expect(await states(phone)).toEqual(['waiting', 'waiting']);
    expect(await phone.trip()).toMatchObject({ state: 'in_step' });
    expect([...house.journal.keys()]).toEqual(ids);
    expect(await states(phone)).toEqual(['sent', 'sent']);
  });
});

test('an answer lost after the house had written: the same ids go again, and nothing is counted twice', async () => {
  const { house, phone, ids } = await waiting(3);
  house.faults = ['lost'];
  await phone.trip();
  expect(await states(phone)).toEqual(['waiting', 'waiting', 'waiting']);
  await phone.trip();
  expect(pushes(house).map(({ entries }) => entries.map(({ id }) => id))).toEqual([ids, ids]);
  expect((await phone.kept()).map(({ verdict }) => verdict)).toEqual(['already', 'already', 'already']);
  expect(house.journal.size).toBe(3);
});

test('one entry set aside holds nothing else up', async () => {
  const { house, phone, ids } = await waiting(5);
  house.verdicts.set(ids[2] as string, {
    verdict: 'aside',
    code: 'id_taken',
    detail: 'Another entry has this id.',
  });
  expect(await phone.trip()).toMatchObject({ state: 'in_step' });
  expect(await states(phone)).toEqual(['sent', 'sent', 'aside', 'sent', 'sent']);
  await phone.trip();
  expect(pushes(house)).toHaveLength(1);
});

test('signed out: everything stays, nothing is tried until the person signs in', async () => {
  const { house, phone } = await waiting(2);
  const me = house.signedIn;
  house.signedIn = null;
  expect(await phone.trip()).toMatchObject({ state: 'signed_out', again: 'when_asked' });
  expect(await states(phone)).toEqual(['waiting', 'waiting']);
  house.signedIn = me;
  expect(await phone.trip()).toMatchObject({ state: 'in_step' });
});

test('a token the house no longer knows is renewed once, and the batch goes again', async () => {
  const { house, phone } = await waiting(1);
  house.csrf = 'token-2';
  expect(await phone.trip()).toMatchObject({ state: 'in_step' });
  expect(house.asked.map(({ path }) => path.split('?')[0])).toEqual([
    '/api/push',
    '/api/house',
    '/api/push',
    '/api/changes',
  ]);
});

test('too large for the house: halved until it fits', async () => {
  const { house, phone } = await waiting(64);
  house.mostBytes = 4000;
  expect(await phone.trip()).toMatchObject({ state: 'in_step' });
  expect(house.journal.size).toBe(64);
  expect(await states(phone)).not.toContain('stuck');
});

test.each([429, 503])('%i: left alone for as long as the house asked', async (status) => {
  const { house, phone } = await waiting(1);
  house.faults = [{ status, problem: 'busy', headers: { 'Retry-After': '17' } }];
  expect(await phone.trip()).toMatchObject({ state: 'cannot_reach', again: { after: 17_000 } });
  expect(house.asked).toHaveLength(1);
  expect(await states(phone)).toEqual(['waiting']);
});

test('Retry-After as a date (RFC 9110, 10.2.3)', async () => {
  const { house, phone } = await waiting(1);
  const until = new Date(now() + 60_000).toUTCString();
  house.faults = [{ status: 503, problem: 'busy', headers: { 'Retry-After': until } }];
  expect(await phone.trip()).toMatchObject({ again: { after: expect.closeTo(60_000, -4) } });
});

test('too old an app: waits for its update, and what the house has to tell is still read', async () => {
  const { house, phone } = await waiting(1);
  house.faults = [{ status: 426, problem: 'protocol_too_old' }];
  expect(await phone.trip()).toMatchObject({
    state: 'cannot_reach',
    again: 'when_asked',
    problem: 'The house says protocol_too_old.',
  });
  expect(house.asked.at(-1)?.path).toContain('/api/changes');
  expect(await states(phone)).toEqual(['waiting']);
});

describe('an entry on which the house falls over', () => {
  test('is found by halving after three tries, set apart, and the other 499 are taken', async () => {
    const { house, phone, ids } = await waiting(500);
    const poison = ids[313] as string;
    house.poison.add(poison);
    for (let trip = 0; trip < 2; trip++) {
      expect(await phone.trip()).toMatchObject({ state: 'cannot_reach', again: 'pause' });
      expect(house.journal.size).toBe(0);
    }
    expect(await phone.trip()).toMatchObject({ state: 'in_step' });
    expect(house.journal.size).toBe(499);
    expect(house.journal.has(poison)).toBe(false);
    const stuck = (await phone.kept()).filter(({ state }) => state === 'stuck');
    expect(stuck.map(({ id }) => id)).toEqual([poison]);
    expect(stuck[0]?.detail).toMatch(/fails on this entry alone/);
    expect(pushes(house).length).toBeLessThan(40);
  });

  test('beside another of the kind: both are set apart', async () => {
    const { house, phone, ids } = await waiting(20);
    house.poison = new Set([ids[7] as string, ids[8] as string]);
    for (let trip = 0; trip < 3; trip++) await phone.trip();
    expect(house.journal.size).toBe(18);
    expect((await states(phone)).filter((state) => state === 'stuck')).toHaveLength(2);
  });

  test('is sent again by hand, and when the house has been updated', async () => {
    const { house, phone, ids } = await waiting(3);
    house.poison.add(ids[0] as string);
    for (let trip = 0; trip < 3; trip++) await phone.trip();
    expect(await states(phone)).toEqual(['stuck', 'sent', 'sent']);
    house.poison.clear();
    house.version = '0.2.0';
    await phone.trip({ greet: true });
    expect(await states(phone)).toEqual(['sent', 'sent', 'sent']);
  });

  test('is not blamed when the house falls over whatever it is sent', async () => {
    const { house, phone, ids } = await waiting(6);
    house.poison = new Set(ids);
    for (let trip = 0; trip < 8; trip++)
      expect(await phone.trip()).toMatchObject({ state: 'cannot_reach', again: 'pause' });
    expect(await states(phone)).toEqual(Array(6).fill('waiting'));
    house.poison.clear();
    await phone.trip();
    expect(house.journal.size).toBe(6);
  });

  test('is not blamed when it is alone: nobody can tell', async () => {
    const { house, phone, ids } = await waiting(1);
    house.poison.add(ids[0] as string);
    for (let trip = 0; trip < 6; trip++) await phone.trip();
    expect(await states(phone)).toEqual(['waiting']);
  });
});

test('what a newer app wrote waits for the house to be updated, then goes again', async () => {
  const { house, phone, ids } = await waiting(2);
  house.verdicts.set(ids[0] as string, { verdict: 'later' });
  await phone.trip({ greet: true });
  expect(await states(phone)).toEqual(['later', 'sent']);
  await phone.trip({ greet: true });
  expect(pushes(house)).toHaveLength(1);
  house.verdicts.clear();
  house.version = '0.2.0';
  await phone.trip({ greet: true });
  expect(await states(phone)).toEqual(['sent', 'sent']);
});

test('the answer to a push never moves the cursor', async () => {
  const { house, phone } = await waiting(2);
  const before = await readMark(phone.errand.farm, 'cursor');
  house.faults = [{ change: (said) => ({ ...said, next: 999, cursor: 999 }) }, 'cut'];
  await phone.trip();
  expect(await states(phone)).toEqual(['sent', 'sent']);
  expect(await readMark(phone.errand.farm, 'cursor')).toBe(before);
});

test('the clock is set by the house: the next stamp is in its time', async () => {
  const { house, phone } = await waiting(1);
  house.ahead = -86_400_000;
  await phone.trip();
  const [clock] = await phone.errand.farm.use((db) => db.getAll('clock'));
  expect(clock?.offset).toBe(-86_400_000);
  const held = await phone.write('egg_count', eggs(2));
  const [first] = await phone.kept();
  expect(held.entry.stamp).toBe((first?.entry.stamp ?? 0) + 1);
  house.ahead = 86_400_000;
  await phone.trip();
  tick(5);
  expect((await phone.write('egg_count', eggs(3))).entry.stamp).toBe(now() + 86_400_000);
});

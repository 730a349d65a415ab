import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Id, Me } from '../contract.ts';
import { readMark } from '../store/database.ts';
import { readOpen } from '../store/outbox.ts';
import { readEntries, readTable } from '../store/rows.ts';
import { CAGE, eggs, type Phone, pairedPhone, phoneOf, pushes, tick } from '../testing/a-phone.ts';
import { FakeHouse, type Fault, somebody } from '../testing/fake-house.ts';

const cage = (code: string, id: Id = CAGE) => ({
  cage: id,
  code,
  row: 'A',
  place: 1,
  line: null,
  closed: false,
});
const openOf = async (phone: Phone) => {
  const pulls = await readMark(phone.errand.farm, 'pulls');
  return readOpen(phone.errand.farm, pulls?.done ?? 0);
};

test('out first, then in: what was sent comes back with the changes, and is no longer laid over them', async () => {
  const { house, phone } = await pairedPhone();
  const kept = await phone.write('cage', cage('A1'));
  await phone.trip();
  expect(house.asked.map(({ path }) => path.split('?')[0])).toEqual(['/api/push', '/api/changes']);
  expect(await readTable(phone.errand.farm, 'cage')).toMatchObject([{ id: CAGE, code: 'A1' }]);
  expect(await openOf(phone)).toEqual([]);
  expect((await phone.kept())[0]).toMatchObject({ id: kept.id, state: 'sent' });
});

test('sent, and the line breaks before the changes: laid over the rows until a later pull is done', async () => {
  const { house, phone } = await pairedPhone();
  await phone.write('cage', cage('A1'));
  house.faults = [{ change: (said) => said }, 'cut'];
  await phone.trip();
  expect(await openOf(phone)).toMatchObject([{ state: 'sent' }]);
  await phone.trip();
  expect(await openOf(phone)).toEqual([]);
});

describe('a house restored from an older back-up', () => {
  test('gets everything of the last 180 days again, and ends with everything once', async () => {
    const { house, phone } = await pairedPhone();
    const ids: Id[] = [];
    for (let at = 0; at < 10; at++) {
      ids.push((await phone.write('egg_count', eggs(at))).id);
      if (at === 4) await phone.trip();
    }
    await phone.trip();
    house.restore(5);
    expect(house.journal.size).toBe(5);
    house.asked = [];
    expect(await phone.trip()).toMatchObject({ state: 'in_step' });
    expect([...house.journal.keys()].sort()).toEqual([...ids].sort());
    expect((await readEntries(phone.errand.farm, ids)).size).toBe(10);
    expect(await readMark(phone.errand.farm, 'book')).toBe(house.book);
    expect(await openOf(phone)).toEqual([]);
  });

  test('is met in the answer to a push, too: nothing that was sent is held for sent', async () => {
    const { house, phone } = await pairedPhone();
    const before = await phone.write('egg_count', eggs(1));
    await phone.trip();
    house.restore(0);
    const after = await phone.write('egg_count', eggs(2));
    await phone.trip();
    expect([...house.journal.keys()].sort()).toEqual([before.id, after.id].sort());
  });

  test('rows that it lost are taken away at the end of the pull, and not before', async () => {
    const { house, phone } = await pairedPhone();
    house.put('cage', CAGE, { id: CAGE, code: 'A1' });
    await phone.trip();
    house.restore(0);
    for (let at = 0; at < 4; at++) house.put('person', `p${at}`, { id: `p${at}`, name: 'Someone' });
    house.pageRows = 2;
    house.faults = [{ change: (said) => said }, { change: (said) => said }, 'cut'];
    await phone.trip();
    expect(await readTable(phone.errand.farm, 'cage')).toHaveLength(1);
    await phone.trip();
    expect(await readTable(phone.errand.farm, 'cage')).toEqual([]);
    expect(await readTable(phone.errand.farm, 'person')).toHaveLength(4);
  });

  test('entries that wait again are not laid over rows that hold their effect', async () => {
    const { house, phone } = await pairedPhone();
    await phone.write('cage', cage('A1'));
    await phone.trip();
    house.book = 'book-2';
    house.faults = [{ change: (said) => said }, 'cut'];
    await phone.trip();
    expect(await openOf(phone)).toMatchObject([{ state: 'waiting', again: true }]);
  });
});

describe('another house at the same address', () => {
  test.each(['changes', 'push', 'greeting'])(
    'met in the %s: nothing is sent to it, taken from it, or lost',
    async (where) => {
      const { house, phone } = await pairedPhone();
      house.house = 'house-2';
      house.book = 'book-2';
      if (where !== 'changes') await phone.write('egg_count', eggs(1));
      const cursor = await readMark(phone.errand.farm, 'cursor');
      const outcome = await phone.trip({ greet: where === 'greeting' });
      expect(outcome).toMatchObject({ state: 'other_house', again: 'when_asked' });
      expect(outcome.problem).toMatch(/another house/);
      expect((await phone.kept()).every(({ state }) => state === 'waiting')).toBe(true);
      expect(await readMark(phone.errand.farm, 'cursor')).toBe(cursor);
      if (where === 'greeting') expect(pushes(house)).toEqual([]);
    },
  );
});

describe('people', () => {
  test('another role: the changes are read from the beginning; the outbox is not touched', async () => {
    const { house, phone } = await pairedPhone();
    const kept = await phone.write('egg_count', eggs(1));
    house.signedIn = { ...(house.signedIn as Me), role: 'helper' };
    house.faults = [{ change: (said) => said }, 'cut'];
    await phone.trip({ greet: true });
    expect(await readMark(phone.errand.farm, 'cursor')).toBe(0);
    expect((await phone.kept()).map(({ id, state }) => [id, state])).toEqual([[kept.id, 'waiting']]);
  });

  test('another person signs in with entries waiting: they go under the name of who made them', async () => {
    const { house, phone } = await pairedPhone();
    const kept = await phone.write('egg_count', eggs(1));
    house.signedIn = somebody({ name: 'Ben', farm: phone.me.farm });
    await phone.trip({ greet: true });
    expect(house.journal.get(kept.id)?.author).toBe(phone.me.person);
  });

  test('somebody of another farm is signed in: nothing is sent under that name', async () => {
    const { house, phone } = await pairedPhone();
    await phone.write('egg_count', eggs(1));
    house.signedIn = somebody({ name: 'Ben' });
    expect(await phone.trip({ greet: true })).toMatchObject({ state: 'signed_out' });
    expect(pushes(house)).toEqual([]);
  });

  test('signed out without signal: the house is told before anything else is said to it', async () => {
    const { house, phone } = await pairedPhone();
    await phone.write('egg_count', eggs(1));
    await phone.errand.root.use((db) => db.put('marks', 'yes', 'sign_out_owed'));
    house.faults = ['cut'];
    await phone.trip();
    expect(house.signedIn).not.toBeNull();
    expect(await phone.trip()).toMatchObject({ state: 'signed_out' });
    expect(house.signedIn).toBeNull();
    expect(pushes(house)).toEqual([]);
    expect((await phone.kept())[0]?.state).toBe('waiting');
  });
});

test('two tabs that go at once: each entry is in the journal once', async () => {
  const { house, phone } = await pairedPhone();
  for (let at = 0; at < 30; at++) await phone.write('egg_count', eggs(at));
  const other = phone.another();
  await Promise.all([phone.trip(), other.trip()]);
  expect(house.journal.size).toBe(30);
  expect((await phone.kept()).every(({ state }) => state === 'sent')).toBe(true);
});

/** A history of taps, trips, faults, restarts and restores. */
type Step =
  | { do: 'write' }
  | { do: 'strike'; which: number }
  | { do: 'trip'; faults: Fault[]; greet: boolean }
  | { do: 'restart' }
  | { do: 'second_tab' }
  | { do: 'restore'; kept: number }
  | { do: 'sign_out' }
  | { do: 'sign_in' }
  | { do: 'clock'; by: number };

const fault = fc.constantFrom<Fault>(
  'cut',
  'lost',
  'portal',
  { status: 500 },
  { status: 502 },
  { status: 503, problem: 'busy', headers: { 'Retry-After': '1' } },
  { status: 413, problem: 'batch_too_large' },
  { change: (said) => ({ ...said, verdicts: [] }) },
  { change: (said) => said },
);
const step = fc.oneof(
  { weight: 5, arbitrary: fc.constant<Step>({ do: 'write' }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('strike' as const), which: fc.nat(20) }) },
  {
    weight: 4,
    arbitrary: fc.record({
      do: fc.constant('trip' as const),
      faults: fc.array(fault, { maxLength: 4 }),
      greet: fc.boolean(),
    }),
  },
  { weight: 1, arbitrary: fc.constant<Step>({ do: 'restart' }) },
  { weight: 1, arbitrary: fc.constant<Step>({ do: 'second_tab' }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('restore' as const), kept: fc.nat(12) }) },
  { weight: 1, arbitrary: fc.constant<Step>({ do: 'sign_out' }) },
  { weight: 2, arbitrary: fc.constant<Step>({ do: 'sign_in' }) },
  {
    weight: 1,
    arbitrary: fc.record({ do: fc.constant('clock' as const), by: fc.integer({ min: -1e8, max: 1e8 }) }),
  },
);

test('after any history, what the phone called saved is in its outbox or in the journal, and at last in the journal once', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(step, { maxLength: 30 }), async (history) => {
      globalThis.indexedDB = new (await import('fake-indexeddb')).IDBFactory();
      const me = somebody();
      const { house, phone: first } = await pairedPhone(new FakeHouse(me));
      let phone = first;
      const saved: Id[] = [];
      for (const each of history) {
        if (each.do === 'write') saved.push((await phone.write('egg_count', eggs(saved.length % 9))).id);
        if (each.do === 'strike' && saved.length > 0)
          saved.push(
            (await phone.write('strike', { entry: saved[each.which % saved.length] as Id, why: '' })).id,
          );
        if (each.do === 'trip') {
          house.faults = [...each.faults];
          await phone.trip({ greet: each.greet });
          house.faults = [];
        }
        if (each.do === 'restart') {
          phone.close();
          phone = phoneOf(house, me);
        }
        if (each.do === 'second_tab') await Promise.all([phone.trip(), phone.another().trip()]);
        if (each.do === 'restore') house.restore(each.kept);
        if (each.do === 'sign_out') house.signedIn = null;
        if (each.do === 'sign_in') house.signedIn = me;
        if (each.do === 'clock') tick(each.by);
        const there = new Set([...house.journal.keys(), ...(await phone.kept()).map(({ id }) => id)]);
        for (const id of saved) expect(there.has(id)).toBe(true);
      }
      house.signedIn = me;
      expect(await phone.trip({ greet: true, byHand: true })).toMatchObject({ state: 'in_step' });
      expect([...house.journal.keys()].sort()).toEqual([...saved].sort());
      const seqs = [...house.journal.values()].map(({ device_seq }) => device_seq);
      expect(new Set(seqs).size).toBe(seqs.length);
      expect(await openOf(phone)).toEqual([]);
      expect((await readEntries(phone.errand.farm, saved)).size).toBe(saved.length);
      phone.close();
    }),
    { numRuns: 60 },
  );
}, 60_000);

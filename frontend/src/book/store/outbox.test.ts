import fc from 'fast-check';
import { v7 } from 'uuid';
import { afterEach, describe, expect, test, vi } from 'vitest';
import type { Verdict, VerdictWord } from '../contract.ts';
import {
  CAGE,
  eggs,
  now,
  type Phone,
  pairedPhone,
  phoneOf,
  setClockTo,
  TODAY,
  tick,
} from '../testing/a-phone.ts';
import { FakeHouse } from '../testing/fake-house.ts';
import { farmBase, type Kept } from './database.ts';
import { drawnAbove } from './drawn-above.ts';
import { append, NotSaved, readOpen } from './outbox.ts';
import { pruneOutbox, SENT_KEPT_DAYS } from './prune.ts';
import { mark, marked } from './verdicts.ts';

const newPhone = (): Phone => phoneOf(new FakeHouse());

afterEach(() => vi.restoreAllMocks());

describe('an entry is saved', () => {
  test('only when its transaction is complete, asked to be strict', async () => {
    const phone = newPhone();
    await phone.kept();
    const said: string[] = [];
    const open = IDBDatabase.prototype.transaction;
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...asked) {
      const transaction = open.apply(this, asked);
      said.push(String(asked[2]?.durability));
      transaction.addEventListener('complete', () => said.push('complete'));
      return transaction;
    });
    await phone.write('egg_count', eggs(5));
    said.push('saved');
    expect(said).toEqual(['strict', 'complete', 'saved']);
  });

  test('with the day that was meant, whatever the clock says', async () => {
    const phone = newPhone();
    const kept = await phone.write('egg_count', eggs(5), { day: '2026-03-12' });
    expect(kept.entry.day).toBe('2026-03-12');
  });

  test('with a number and a stamp that go on after a restart', async () => {
    const phone = newPhone();
    const first = await phone.write('egg_count', eggs(1));
    phone.close();
    const again = phone.another();
    const second = await again.write('egg_count', eggs(2));
    expect(second.device_seq).toBe(first.device_seq + 1);
    expect(second.entry.stamp).toBeGreaterThan(first.entry.stamp);
  });

  test('with numbers that go on even when all before are gone', async () => {
    const phone = newPhone();
    await phone.write('egg_count', eggs(1));
    await phone.errand.farm.use((db) => db.clear('outbox'));
    expect((await phone.write('egg_count', eggs(2))).device_seq).toBe(2);
  });

  test('from two tabs at once under ids, numbers and stamps of their own', async () => {
    const one = newPhone();
    const two = one.another();
    const kept: Kept[] = await Promise.all(
      Array.from({ length: 40 }, (_, at) => (at % 2 ? one : two).write('egg_count', eggs(at))),
    );
    const drawn: unknown[][] = [
      kept.map(({ id }) => id),
      kept.map((each) => each.device_seq),
      kept.map(({ entry }) => entry.stamp),
    ];
    for (const each of drawn) expect(new Set(each).size).toBe(40);
  });

  test('after the one before it, though the clock was set back by a day', async () => {
    const phone = newPhone();
    const before = await phone.write('egg_count', eggs(1));
    setClockTo(now() - 86_400_000);
    const after = await phone.write('egg_count', eggs(2));
    setClockTo(now() + 86_400_000);
    expect(after.entry.stamp).toBeGreaterThan(before.entry.stamp);
    expect(after.id > before.id).toBe(true);
  });

  test('after what another tab wrote, though the clock was set back and this tab has not heard of it', async () => {
    const one = newPhone();
    const two = one.another();
    const written = [await one.write('egg_count', eggs(1)), await two.write('egg_count', eggs(2))];
    setClockTo(now() - 86_400_000);
    for (const tab of [one, two, two, one]) written.push(await tab.write('egg_count', eggs(3)));
    setClockTo(now() + 86_400_000);
    const inOrder = [...written].sort((a, b) => a.entry.stamp - b.entry.stamp);
    expect(inOrder).toEqual(written);
    expect(new Set(written.map(({ entry }) => entry.stamp)).size).toBe(written.length);
    // What was laid down by a wrong guess was laid over, and nothing of it is left.
    const kept = (await one.kept()).map(({ id, device_seq, entry }) => ({ id, device_seq, entry }));
    expect(kept).toEqual(written.map(({ id, device_seq, entry }) => ({ id, device_seq, entry })));
    expect(kept.map(({ device_seq }) => device_seq)).toEqual([1, 2, 3, 4, 5, 6]);
  });

  test('under a UUIDv7 whose time is the stamp (RFC 9562, 5.7)', async () => {
    const kept = await newPhone().write('egg_count', eggs(1));
    expect(kept.id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    expect(Number.parseInt(kept.id.replace('-', '').slice(0, 12), 16)).toBe(kept.entry.stamp);
  });

  test('by a maker that gives the test vector of the standard (RFC 9562, A.6)', () => {
    const random = new Uint8Array(16);
    random.set([0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f], 10);
    const counter = 0xcc3 * 2 ** 20 + (0x18c4dc >> 2);
    expect(v7({ msecs: 0x017f22e279b0, seq: counter, random })).toBe('017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
  });

  test('once, when the connection is lost after the commit and the work runs again', async () => {
    const phone = newPhone();
    const { farm } = phone.errand;
    const twice = {
      ...farm,
      use: (async (work) =>
        farm.use(async (db) => {
          await work(db);
          return work(db);
        })) as typeof farm.use,
    };
    const entry = {
      author: phone.me.person,
      kind: 'egg_count' as const,
      version: 1,
      day: TODAY,
      zone: 'UTC',
      body: eggs(3),
    };
    await append(twice, entry, now());
    expect(await phone.kept()).toHaveLength(1);
  });
});

describe('a full store is loud', () => {
  const quota = () => new DOMException('The quota has been exceeded.', 'QuotaExceededError');

  test('when the browser refuses the entry', async () => {
    const phone = newPhone();
    await phone.kept();
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
      throw quota();
    });
    await expect(phone.write('egg_count', eggs(5))).rejects.toThrow(
      /Not saved: the storage of this phone is full/,
    );
  });

  test('when the browser finds out at the commit', async () => {
    const phone = newPhone();
    await phone.kept();
    const add = IDBObjectStore.prototype.add;
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore, value) {
      const request = add.call(this, value);
      const { transaction } = this;
      request.addEventListener('success', () => {
        Object.defineProperty(transaction, 'error', { value: quota() });
        transaction.abort();
      });
      return request;
    });
    const failure = await phone.write('egg_count', eggs(5)).catch((error: unknown) => error);
    expect(failure).toBeInstanceOf(NotSaved);
    expect(failure).toMatchObject({ full: true });
    vi.restoreAllMocks();
    expect(await phone.kept()).toEqual([]);
  });
});

describe('an entry set aside', () => {
  async function setAside(): Promise<{ phone: Phone; kept: Kept }> {
    const { house, phone } = await pairedPhone();
    const kept = await phone.write('egg_count', eggs(5));
    house.verdicts.set(kept.id, {
      verdict: 'aside',
      code: 'day_in_future',
      detail: 'Tomorrow has no eggs.',
      field: 'day',
    });
    await phone.trip();
    return { phone, kept };
  }

  test('stays with its reason', async () => {
    const { phone, kept } = await setAside();
    const [found] = await readOpen(phone.errand.farm, 0);
    expect(found).toMatchObject({
      id: kept.id,
      state: 'aside',
      code: 'day_in_future',
      detail: 'Tomorrow has no eggs.',
      field: 'day',
    });
  });

  test.each(['mended', 'struck'])('needs nobody once it is %s, and is still here', async (how) => {
    const { phone, kept } = await setAside();
    if (how === 'mended') await phone.write('egg_count', eggs(4), { mends: kept.id });
    else await phone.write('strike', { entry: kept.id, why: 'wrong day' });
    const found = (await phone.kept()).find(({ id }) => id === kept.id);
    expect(found?.open).toBeUndefined();
    expect(found?.entry.body).toEqual(eggs(5));
  });
});

test('an entry that never left the phone and is struck is still sent, with its strike', async () => {
  const { house, phone } = await pairedPhone();
  const slip = await phone.write('egg_count', eggs(50));
  const strike = await phone.write('strike', { entry: slip.id, why: 'slip' });
  await phone.trip();
  expect([...house.journal.keys()]).toEqual([slip.id, strike.id]);
});

test('each entry is marked by its own verdict and by nothing else', async () => {
  const words: VerdictWord[] = ['written', 'already', 'questioned', 'waits', 'aside', 'later'];
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.option(fc.constantFrom(...words)), { minLength: 1, maxLength: 12 }),
      async (given) => {
        globalThis.indexedDB = new (await import('fake-indexeddb')).IDBFactory();
        const phone = newPhone();
        const ids: string[] = [];
        for (const at of given.keys()) ids.push((await phone.write('egg_count', eggs(at))).id);
        const verdicts = given.flatMap((verdict, at): Verdict[] =>
          verdict ? [{ id: ids[at] as string, verdict }] : [],
        );
        await mark(phone.errand.farm, await phone.kept(), verdicts, { now: now(), pullsBegun: 1 });
        const kept = await phone.kept();
        for (const [at, verdict] of given.entries()) {
          const expected =
            verdict === null ? 'waiting' : verdict === 'aside' || verdict === 'later' ? verdict : 'sent';
          expect(kept[at]).toMatchObject({ id: ids[at], state: expected });
          expect(kept[at]?.open).toBe(expected === 'sent' ? undefined : expected);
        }
        phone.close();
      },
    ),
    { numRuns: 25 },
  );
});

test('a verdict does not undo a strike that was made while it was on its way', () => {
  const kept = { state: 'waiting', open: 'waiting', struck_by: 'x' } as Kept;
  const after = marked(kept, { id: 'y', verdict: 'aside', code: 'unreadable' }, { now: 1, pullsBegun: 1 });
  expect(after).toMatchObject({ state: 'sent', struck_by: 'x' });
});

test('what the house took is kept 180 days, and what it did not take for ever', async () => {
  const { phone, house } = await pairedPhone();
  const sent = await phone.write('egg_count', eggs(1));
  await phone.trip();
  house.reachable = false;
  const unsent = await phone.write('egg_count', eggs(2), { day: '2026-03-15' });
  const { farm } = phone.errand;
  tick((SENT_KEPT_DAYS - 1) * 86_400_000);
  expect(await pruneOutbox(farm, now())).toBe(0);
  tick(2 * 86_400_000);
  expect(await pruneOutbox(farm, now())).toBe(1);
  expect((await phone.kept()).map(({ id }) => id)).toEqual([unsent.id]);
  expect(sent.id).not.toBe(unsent.id);
});

test('the layout of the outbox is the one of version 1, for ever', async () => {
  const farm = farmBase(CAGE);
  const layout = await farm.use(async (db) => {
    const { store } = db.transaction('outbox');
    return {
      version: db.version,
      key: store.keyPath,
      auto: store.autoIncrement,
      indexes: [...store.indexNames],
    };
  });
  expect(layout).toEqual({ version: 1, key: 'device_seq', auto: true, indexes: ['id', 'open', 'sent_pull'] });
});

describe('the next place to be drawn', () => {
  test('is above all that the house has had from this phone, which says that the phone has lost what it kept', async () => {
    const phone = newPhone();
    await phone.write('egg_count', eggs(3));
    expect(await drawnAbove(phone.errand.farm, 40)).toBe(true);
    expect((await phone.write('egg_count', eggs(4))).device_seq).toBe(41);
    expect(await drawnAbove(phone.errand.farm, 40)).toBe(false);
    expect((await phone.kept()).map((kept) => kept.device_seq)).toEqual([1, 41]);
    phone.close();
  });
  test('is told by what was drawn, not by what is still kept, and asking misses no place', async () => {
    const phone = newPhone();
    const { device_seq } = await phone.write('egg_count', eggs(3));
    await phone.errand.farm.use((db) => db.clear('outbox'));
    expect(await drawnAbove(phone.errand.farm, device_seq)).toBe(false);
    expect(await drawnAbove(phone.errand.farm, 0)).toBe(false);
    expect((await phone.write('egg_count', eggs(4))).device_seq).toBe(device_seq + 1);
    phone.close();
  });
});

/** The book as a screen sees it, against a house in memory. Each test is one page; another tab is another set of modules. */
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Me } from './contract.ts';
import { CAGE, eggs } from './testing/a-phone.ts';
import { FakeHouse, somebody } from './testing/fake-house.ts';

type Book = typeof import('./index.ts');
type Opening = typeof import('./opening.ts');

interface Tab extends Book {
  close: Opening['closeBook'];
}

const tabs: Tab[] = [];
let house: FakeHouse;
let me: Me;

/** A tab freshly loaded: nothing in memory, whatever the store holds. */
async function load(): Promise<Tab> {
  vi.resetModules();
  const [book, opening] = await Promise.all([import('./index.ts'), import('./opening.ts')]);
  const tab = { ...book, close: opening.closeBook };
  tabs.push(tab);
  return tab;
}

async function openTab(): Promise<Tab> {
  const tab = await load();
  await tab.openBook();
  return tab;
}

const settled = (tab: Tab) => vi.waitFor(() => expect(tab.link.value.state).not.toMatch(/sending|never/));
const cage = (code: string, place = 1, id = CAGE, row = 'A') => ({
  cage: id,
  code,
  row,
  place,
  line: null,
  closed: false,
});

beforeEach(() => {
  me = somebody();
  house = new FakeHouse(me);
  vi.stubGlobal('fetch', house.fetch);
});

afterEach(async () => {
  for (const tab of tabs.splice(0)) await tab.close();
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

describe('opening', () => {
  test('a phone without a book learns from the house who it is', async () => {
    const book = await openTab();
    await settled(book);
    expect(book.opened.value).toBe(true);
    expect(book.me.value).toMatchObject({ name: 'Ada' });
    expect(book.farm.value?.name).toBe('Three Alders');
    expect(book.link.value).toMatchObject({ state: 'in_step', lastSyncedAt: expect.any(Number) });
  });

  test('a phone without a book and without signal says so', async () => {
    house.reachable = false;
    const book = await openTab();
    expect(book.opened.value).toBe(true);
    expect(book.me.value).toBeNull();
    expect(book.link.value).toMatchObject({ state: 'cannot_reach', problem: 'The house cannot be reached.' });
  });

  test('without signal, from a cold start: what stood and what was entered is there, and more can be entered', async () => {
    const before = await openTab();
    await settled(before);
    await before.write('cage', cage('A1'));
    await before.syncNow();
    house.reachable = false;
    await before.write('egg_count', eggs(5));
    await before.close();
    const book = await openTab();
    expect(book.me.value).toMatchObject({ name: 'Ada' });
    expect(book.cages.value.map(({ code }) => code)).toEqual(['A1']);
    expect(book.outbox.value).toMatchObject({ waiting: 1, refused: 0 });
    expect(book.roundsOn(book.today.value).value.get(CAGE)?.get('morning')?.eggs).toBe(5);
    await book.write('cage_passed', { cage: CAGE, round: 'evening', reason: '' });
    expect(book.outbox.value.waiting).toBe(2);
    expect(book.link.value.lastSyncedAt).not.toBeNull();
  });

  test('a store that the browser emptied is said, and filled again from the house', async () => {
    const before = await openTab();
    await settled(before);
    await before.write('cage', cage('A1'));
    await before.syncNow();
    await before.close();
    await new Promise((resolve) => {
      indexedDB.deleteDatabase(`barnbook-${me.farm.id}`).onsuccess = resolve;
    });
    const book = await openTab();
    expect(book.storage.value.lost).toBe(true);
    await settled(book);
    await vi.waitFor(() => expect(book.cages.value).toHaveLength(1));
  });

  test('a store that cannot be opened is said, and is not taken for an empty book', async () => {
    vi.spyOn(indexedDB, 'open').mockImplementation(() => {
      throw new DOMException('Internal error', 'UnknownError');
    });
    const book = await openTab();
    expect(book.opened.value).toBe(false);
    expect(book.storage.value.problem).toMatch(/could not be opened/);
  });
});

describe('writing', () => {
  let book: Tab;
  beforeEach(async () => {
    book = await openTab();
    await settled(book);
    await book.write('cage', cage('A1'));
    house.reachable = false;
  });

  test('resolves with the entry, seen at once in the day, the cage and the outbox', async () => {
    const entry = await book.write('egg_count', eggs(5));
    expect(entry).toMatchObject({
      kind: 'egg_count',
      author: me.person,
      zone: 'Europe/Vienna',
      day: book.today.value,
    });
    const [view] = book.entriesOn(book.today.value).value ?? [];
    expect(view).toMatchObject({ id: entry.id, place: 'waiting', struck: null });
    expect(book.inWords(view as never)).toBe('Cage A1: 5 eggs, morning round');
    expect(book.outbox.value.oldest).toBeLessThanOrEqual(entry.stamp);
    const page = book.entriesOf(`cage/${CAGE}`);
    await vi.waitFor(() => expect(page.value?.map(({ kind }) => kind)).toEqual(['egg_count', 'cage']));
  });

  test('a body that may not be is refused with a sentence, and nothing is written', async () => {
    await expect(book.write('egg_count', eggs(1000))).rejects.toThrow(
      'Eggs must be from 0 to 999, not 1000.',
    );
    expect(book.refusal('egg_count', { ...eggs(1), cracked: 2 })).toMatchObject({ field: 'eggs' });
    expect(book.outbox.value.waiting).toBe(1);
  });

  test('an undone entry stays readable, struck through, and counts for nothing', async () => {
    const entry = await book.write('egg_count', eggs(50));
    await book.undo(entry.id);
    expect(book.entriesOn(book.today.value).value?.[0]).toMatchObject({
      id: entry.id,
      struck: { why: 'undone at once' },
    });
    expect(book.roundsOn(book.today.value).value.get(CAGE)).toBeUndefined();
    expect(book.outbox.value.waiting).toBe(3);
  });

  test('an unlikely count is asked about by the counts in the book, of the last days and of long ago', async () => {
    house.reachable = true;
    const old = book.newId();
    await book.write('cage', cage('A2', 2, old));
    for (const id of [CAGE, old])
      await book.write('birds_placed', {
        cage: id,
        brood: null,
        from_cage: null,
        hens: 5,
        cocks: 1,
        unsexed: 0,
        birds: [],
      });
    const { daysBefore } = await import('./clock.ts');
    await book.write('egg_count', eggs(4), { day: daysBefore(book.today.value, 1) });
    await book.write('egg_count', eggs(4, old), { day: daysBefore(book.today.value, 10) });
    await book.syncNow();
    await book.close();
    book = await openTab();
    await settled(book);
    await vi.waitFor(() =>
      expect(book.doubt('egg_count', eggs(7))).toMatch(/5 hens in one day hardly lay 7/),
    );
    expect(book.doubt('egg_count', eggs(55, old))).toBeNull();
    expect(book.doubt('egg_count', eggs(56, old))).toMatch(/5 hens in 10 days hardly lay 56/);
  });

  test('an unlikely count is asked about before it is written, by the counts of this phone too', async () => {
    expect(book.doubt('egg_count', eggs(3))).toMatch(/no hens in the book/);
    await book.write('birds_placed', {
      cage: CAGE,
      brood: null,
      from_cage: null,
      hens: 5,
      cocks: 1,
      unsexed: 0,
      birds: [],
    });
    expect(book.doubt('egg_count', eggs(6))).toBeNull();
    expect(book.doubt('egg_count', eggs(7))).toMatch(/5 hens in one day hardly lay 7 eggs/);
    const first = await book.write('egg_count', eggs(4));
    expect(book.doubt('egg_count', { ...eggs(3), round: 'evening' })).toBeNull();
    expect(book.doubt('egg_count', eggs(3))).toMatch(/and 4 were counted already/);
    expect(book.doubt('egg_count', eggs(3), { instead: [first.id] })).toBeNull();
  });

  test('a helper does not set up cages, an onlooker does not write, nobody writes for nobody', async () => {
    for (const [role, kind, code] of [
      ['helper', 'cage', 'owners_only'],
      ['onlooker', 'egg_count', 'onlookers_do_not_write'],
    ] as const) {
      house.reachable = true;
      house.signedIn = { ...me, role };
      await book.syncNow();
      const body = kind === 'cage' ? cage('A2') : eggs(1);
      await expect(book.write(kind, body as never)).rejects.toMatchObject({ code });
    }
    await book.signOut();
    await expect(book.write('egg_count', eggs(1))).rejects.toMatchObject({ code: 'signed_out' });
  });

  test('a full phone gives up what the house has, and only then says that it is full', async () => {
    const add = IDBObjectStore.prototype.add;
    let refuse = 1;
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore, ...asked) {
      refuse -= 1;
      if (refuse >= 0) throw new DOMException('full', 'QuotaExceededError');
      return add.apply(this, asked);
    });
    await book.write('egg_count', eggs(1));
    expect(book.storage.value.full).toBe(false);
    refuse = 2;
    await expect(book.write('egg_count', eggs(2))).rejects.toMatchObject({ name: 'NotSaved', full: true });
    expect(book.storage.value.full).toBe(true);
    expect(book.outbox.value.waiting).toBe(2);
    await book.write('egg_count', eggs(2));
    expect(book.storage.value.full).toBe(false);
  });

  test('the cages stand in walking order: row, place, code', async () => {
    await book.write('cage', cage('B1', 1, book.newId(), 'B'));
    await book.write('cage', cage('A10', 10, book.newId()));
    await book.write('cage', cage('A2', 2, book.newId()));
    expect(book.cages.value.map(({ code }) => code)).toEqual(['A1', 'A2', 'A10', 'B1']);
  });
});

describe('sending', () => {
  test('a write goes by itself, soon', async () => {
    const book = await openTab();
    await settled(book);
    const entry = await book.write('egg_count', eggs(5));
    await vi.waitFor(() => expect(house.journal.has(entry.id)).toBe(true), { timeout: 4000 });
    await vi.waitFor(() => expect(book.outbox.value.waiting).toBe(0));
    await vi.waitFor(() => expect(book.link.value.state).toBe('in_step'));
    expect(book.entriesOn(book.today.value).value?.map(({ place }) => place)).toEqual(['book']);
  });

  test('a hen found dead stays dead while the answer comes, is sent, and comes back with the changes', async () => {
    const book = await openTab();
    await settled(book);
    await book.write('cage', cage('A1'));
    await book.write('birds_placed', {
      cage: CAGE,
      brood: null,
      from_cage: null,
      hens: 5,
      cocks: 0,
      unsexed: 0,
      birds: [],
    });
    const hens: number[] = [];
    const { effect } = await import('@preact/signals');
    const stop = effect(() => {
      hens.push(book.cages.value[0]?.hens ?? -1);
    });
    await book.write('found_dead', {
      cage: CAGE,
      brood: null,
      hens: 1,
      cocks: 0,
      unsexed: 0,
      birds: [],
      note: '',
    });
    await book.syncNow();
    stop();
    expect(new Set(hens.slice(hens.indexOf(4)))).toEqual(new Set([4]));
    expect(book.cages.value[0]).toMatchObject({ hens: 4 });
  });

  test('a tap is not kept waiting by a house that stalls', async () => {
    const book = await openTab();
    await settled(book);
    vi.stubGlobal('fetch', () => new Promise(() => {}));
    void book.syncNow();
    await book.write('egg_count', eggs(5));
    expect(book.outbox.value.waiting).toBe(1);
    expect(book.link.value.state).toBe('sending');
  });

  test('an entry written while the store is being read again stays in sight', async () => {
    const book = await openTab();
    await settled(book);
    const seen: number[] = [];
    const { effect } = await import('@preact/signals');
    const stop = effect(() => {
      seen.push(book.entriesOn(book.today.value).value?.length ?? 0);
    });
    for (let at = 0; at < 30; at++) {
      if (at % 5 === 0) void book.syncNow();
      await book.write('egg_count', eggs(at, book.newId()));
      expect(book.entriesOn(book.today.value).value).toHaveLength(at + 1);
    }
    await book.syncNow();
    stop();
    expect(seen).toEqual([...seen].sort((a, b) => a - b));
    expect(book.outbox.value.waiting).toBe(0);
  });

  test('one set aside is shown with its reason until it is mended', async () => {
    const book = await openTab();
    await settled(book);
    await book.write('cage', cage('A1'));
    const entry = await book.write('egg_count', eggs(5));
    house.verdicts.set(entry.id, {
      verdict: 'aside',
      code: 'day_in_future',
      detail: 'Tomorrow has no eggs.',
      field: 'day',
    });
    await book.syncNow();
    expect(book.outbox.value).toMatchObject({ waiting: 0, refused: 1 });
    expect(book.outbox.value.entries[0]).toMatchObject({
      place: 'aside',
      reason: { detail: 'Tomorrow has no eggs.' },
    });
    const mended = await book.mend(entry.id, 'egg_count', eggs(4));
    expect(mended.mends).toBe(entry.id);
    expect(book.outbox.value).toMatchObject({ waiting: 1, refused: 0 });
    await book.syncNow();
    expect(house.journal.get(mended.id)?.mends).toBe(entry.id);
  });

  test('one that waited and is set aside after all comes back as refused', async () => {
    const book = await openTab();
    await settled(book);
    const entry = await book.write('egg_count', eggs(5));
    house.verdicts.set(entry.id, { verdict: 'waits' });
    await book.syncNow();
    house.put('entry', entry.id, null);
    house.put('aside', 'x', {
      id: 'x',
      entry: entry.id,
      kind: 'egg_count',
      author: me.person,
      received: 1,
      code: 'other_farm',
      detail: 'Not of this farm.',
      field: 'cage',
      raw: '',
      mended_by: null,
    });
    await book.syncNow();
    expect(book.asides.value).toHaveLength(1);
    expect(book.outbox.value.refused).toBe(1);
  });

  test('the outbox as a file holds everything unsent, as it would be pushed', async () => {
    const book = await openTab();
    await settled(book);
    house.reachable = false;
    const entry = await book.write('egg_count', eggs(5));
    const file = await book.saveOutbox();
    expect(file.name).toMatch(/^barnbook-outbox-three-alders-\d{4}-\d\d-\d\d\.json$/);
    expect(JSON.parse(await file.text())).toMatchObject({
      barnbook: 'outbox',
      protocol: 1,
      farm: me.farm.id,
      house: house.house,
      entries: [{ ...entry, state: 'waiting' }],
    });
  });
});

describe('people', () => {
  test('signing in, with the wrong password and with the right one', async () => {
    house.signedIn = null;
    const book = await openTab();
    expect(book.house.value).toMatchObject({ claimed: true, me: null });
    const who = { name: 'Ada', password: 'hen', deviceName: 'Phone' };
    await expect(book.signIn(who)).rejects.toMatchObject({ code: 'wrong_name_or_password' });
    await book.signIn({ ...who, password: 'quail' });
    await settled(book);
    expect(book.me.value).toMatchObject({ name: 'Ada' });
    expect(book.farm.value?.name).toBe('Three Alders');
  });

  test('a session that expired: the person stays, writes, is asked to sign in, and nothing is lost', async () => {
    const book = await openTab();
    await settled(book);
    house.signedIn = null;
    await book.syncNow();
    expect(book.link.value.state).toBe('signed_out');
    const entry = await book.write('egg_count', eggs(5));
    expect(book.me.value).not.toBeNull();
    await book.signIn({ name: 'Ada', password: 'quail', deviceName: 'Phone' });
    await vi.waitFor(() => expect(house.journal.has(entry.id)).toBe(true));
  });

  test('signing out with entries waiting keeps them; the next person sends them under their own name', async () => {
    const book = await openTab();
    await settled(book);
    const ben = somebody({ name: 'Ben', role: 'helper', farm: me.farm });
    house.people.set('Ben', ben);
    house.reachable = false;
    const entry = await book.write('egg_count', eggs(5));
    await book.signOut();
    expect(book.me.value).toBeNull();
    expect(book.outbox.value.waiting).toBe(1);
    house.reachable = true;
    await book.signIn({ name: 'Ben', password: 'quail', deviceName: 'Phone' });
    await vi.waitFor(() => expect(house.journal.get(entry.id)?.author).toBe(me.person));
  });

  test('somebody of another farm: the first farm keeps its own store and outbox, and is named', async () => {
    const book = await openTab();
    await settled(book);
    house.reachable = false;
    await book.write('egg_count', eggs(5));
    house.reachable = true;
    house.people.set('Eve', somebody({ name: 'Eve' }));
    const eve = house.people.get('Eve') as Me;
    house.put('farm', eve.farm.id, {
      id: eve.farm.id,
      name: 'Two Oaks',
      zone: 'UTC',
      weight_unit: 'g',
      rounds: [],
      example: false,
    });
    await book.signIn({ name: 'Eve', password: 'quail', deviceName: 'Phone' });
    expect(book.outbox.value.waiting).toBe(0);
    expect(await book.otherFarms()).toMatchObject([{ farm: me.farm.id, name: 'Three Alders', waiting: 1 }]);
    expect(house.journal.size).toBe(0);
    await book.signIn({ name: 'Ada', password: 'quail', deviceName: 'Phone' });
    await vi.waitFor(() => expect(house.journal.size).toBe(1));
  });

  test('beginning an empty book, and the example farm with how far it is', async () => {
    house.signedIn = null;
    house.claimed = false;
    const book = await openTab();
    await expect(book.begin({ token: 'old', choice: 'empty', deviceName: 'Phone' })).rejects.toMatchObject({
      code: 'link_used_or_wrong',
    });
    house.making = [
      { state: 'working', done: 3, total: 10 },
      { state: 'ready', done: 10, total: 10 },
    ];
    const heard: number[] = [];
    await book.begin({ token: 'link', choice: 'example', deviceName: 'Phone' }, ({ done }) =>
      heard.push(done),
    );
    expect(heard).toEqual([3, 10]);
    expect(book.me.value?.farm.name).toBe('Example');
  });
});

describe('two tabs', () => {
  test('see what the other writes, at once', async () => {
    const one = await openTab();
    await settled(one);
    const two = await openTab();
    await settled(two);
    house.reachable = false;
    await one.write('egg_count', eggs(5));
    await vi.waitFor(() => expect(two.outbox.value.waiting).toBe(1));
    await two.write('egg_count', { ...eggs(2), round: 'evening' });
    await vi.waitFor(() => expect(one.outbox.value.waiting).toBe(2));
  });

  test('one signs out, and the other knows', async () => {
    const one = await openTab();
    await settled(one);
    const two = await openTab();
    await settled(two);
    await one.signOut();
    await vi.waitFor(() => expect(two.me.value).toBeNull());
  });
});

test('older entries are read from the house when they are asked for', async () => {
  const book = await openTab();
  await settled(book);
  await book.write('egg_count', eggs(5), { day: '2020-01-01' });
  await book.syncNow();
  const page = book.entriesOf(`cage/${CAGE}`);
  expect(await book.loadOlder(`cage/${CAGE}`)).toBe(false);
  await vi.waitFor(() => expect(page.value?.map(({ day }) => day)).toEqual(['2020-01-01']));
});

test('another house at this address is said, and nothing of the book goes there', async () => {
  const book = await openTab();
  await settled(book);
  const other = new FakeHouse(me);
  vi.stubGlobal('fetch', other.fetch);
  await book.write('egg_count', eggs(5));
  await book.syncNow();
  expect(book.link.value).toMatchObject({
    state: 'other_house',
    problem: expect.stringMatching(/another house/),
  });
  expect(other.journal.size).toBe(0);
  expect(book.outbox.value.waiting).toBe(1);
});

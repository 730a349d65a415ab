import { type DBSchema, openDB } from 'idb';
import { expect, test, vi } from 'vitest';
import { CAGE } from '../testing/a-phone.ts';
import { farmBase, lazyBase, type Mishap } from './database.ts';

test('a connection that the browser dropped is opened once more, and the work done', async () => {
  const farm = farmBase(CAGE);
  const first = await farm.use(async (db) => db);
  first.close();
  await farm.use((db) => db.put('clock', { offset: 1, last: 2 }, 'clock'));
  expect(await farm.use((db) => db.get('clock', 'clock'))).toEqual({ offset: 1, last: 2 });
});

test('once, and no more: a store that stays lost is an error', async () => {
  const farm = farmBase(CAGE);
  let tries = 0;
  const work = () => {
    tries += 1;
    return Promise.reject(new DOMException('The database connection is closing.', 'InvalidStateError'));
  };
  await expect(farm.use(work)).rejects.toThrow('closing');
  expect(tries).toBe(2);
});

test('any other fault is not tried again', async () => {
  const farm = farmBase(CAGE);
  const work = vi.fn(() => Promise.reject(new DOMException('full', 'QuotaExceededError')));
  await expect(farm.use(work)).rejects.toThrow('full');
  expect(work).toHaveBeenCalledOnce();
});

test('a newer app in another tab gets its way at once; this tab says so and writes nothing more', async () => {
  const mishaps: (Mishap | null)[] = [];
  const farm = farmBase(CAGE, (mishap) => mishaps.push(mishap));
  await farm.use((db) => db.put('clock', { offset: 1, last: 2 }, 'clock'));
  const newer = await openDB(`barnbook-${CAGE}`, 2, {
    upgrade: (db) => {
      db.createObjectStore('trays');
    },
  });
  expect(mishaps).toEqual(['newer_tab_open']);
  await expect(farm.use((db) => db.get('clock', 'clock'))).rejects.toMatchObject({ name: 'VersionError' });
  expect(mishaps).toEqual(['newer_tab_open', 'newer_tab_open']);
  expect([...newer.objectStoreNames]).toContain('outbox');
  newer.close();
});

test('an older tab that does not stand aside is named; this one goes on when it is closed', async () => {
  const older = await openDB('book', 1, { upgrade: (db) => void db.createObjectStore('outbox') });
  const mishaps: (Mishap | null)[] = [];
  const newer = lazyBase<DBSchema>(
    'book',
    2,
    () => {},
    (mishap) => mishaps.push(mishap),
  );
  const opened = newer.use(async (db) => db.version);
  await vi.waitFor(() => expect(mishaps).toEqual(['older_tab_open']));
  older.close();
  expect(await opened).toBe(2);
  expect(mishaps).toEqual(['older_tab_open', null]);
});

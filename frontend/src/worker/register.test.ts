import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';

type Register = typeof import('./register.ts');
type RoundOpen = typeof import('./round-open.ts');

/** One tab: its own modules, the browser's locks and worker shared. */
async function tab(): Promise<Register & RoundOpen> {
  vi.resetModules();
  return { ...(await import('./register.ts')), ...(await import('./round-open.ts')) };
}

/** Locks as the standard has them, as far as they are used here: shared ones, and one exclusive if available. */
function locks() {
  let shared = 0;
  return {
    held: () => shared,
    request: async (_: string, how: { mode?: string }, work: (lock: object | null) => unknown) => {
      if (how.mode !== 'shared') return work(shared === 0 ? {} : null);
      shared += 1;
      await work({});
      shared -= 1;
      return undefined;
    },
  };
}

let worker: EventTarget & { register: () => Promise<unknown>; controller: object | null };
let registration: EventTarget & {
  waiting: null | { postMessage: (message: string) => void };
  installing: EventTarget | null;
};
let told: string[];
let reloads: number;
let held: ReturnType<typeof locks>;

beforeEach(() => {
  told = [];
  reloads = 0;
  held = locks();
  registration = Object.assign(new EventTarget(), { waiting: null, installing: null });
  worker = Object.assign(new EventTarget(), {
    register: () => Promise.resolve(registration),
    controller: {},
  });
  vi.stubGlobal('navigator', { serviceWorker: worker, locks: held });
  vi.stubGlobal('document', Object.assign(new EventTarget(), { visibilityState: 'visible' }));
  vi.stubGlobal('location', { reload: () => (reloads += 1) });
});

afterEach(() => vi.unstubAllGlobals());

function aNewVersionComes(): void {
  const installing = new EventTarget();
  registration.installing = installing;
  registration.dispatchEvent(new Event('updatefound'));
  registration.waiting = {
    postMessage: (message) => {
      told.push(message);
      worker.dispatchEvent(new Event('controllerchange'));
    },
  };
  installing.dispatchEvent(new Event('statechange'));
}

describe('a new version of the app', () => {
  test('is shown and waits; taken, it loads the page anew', async () => {
    const one = await tab();
    await one.registerWorker();
    expect(one.update.value).toBe(false);
    aNewVersionComes();
    expect(one.update.value).toBe(true);
    expect(told).toEqual([]);
    expect(await one.takeUpdate()).toBe(true);
    expect(told).toEqual(['take_over']);
    expect(reloads).toBe(1);
  });

  test('that was waiting before the page came is shown too', async () => {
    registration.waiting = { postMessage: () => {} };
    const one = await tab();
    await one.registerWorker();
    expect(one.update.value).toBe(true);
  });

  test('is not taken while a round is open in this tab', async () => {
    const one = await tab();
    await one.registerWorker();
    aNewVersionComes();
    one.holdUpdates(true);
    expect(await one.takeUpdate()).toBe(false);
    one.holdUpdates(false);
    await vi.waitFor(() => expect(held.held()).toBe(0));
    expect(await one.takeUpdate()).toBe(true);
  });

  test('is not taken while a round is open in another', async () => {
    const other = await tab();
    other.holdUpdates(true);
    const one = await tab();
    await one.registerWorker();
    aNewVersionComes();
    expect(await one.takeUpdate()).toBe(false);
    expect(told).toEqual([]);
    other.holdUpdates(false);
    await vi.waitFor(() => expect(held.held()).toBe(0));
    expect(await one.takeUpdate()).toBe(true);
  });

  test('taken by another tab does not load this one anew under a round', async () => {
    const one = await tab();
    await one.registerWorker();
    worker.dispatchEvent(new Event('controllerchange'));
    expect(reloads).toBe(0);
  });
});

test('the first worker of all is no new version', async () => {
  worker.controller = null;
  const one = await tab();
  await one.registerWorker();
  aNewVersionComes();
  expect(one.update.value).toBe(false);
});

test('a house without https has no worker, and the app works all the same', async () => {
  worker.register = () => Promise.reject(new DOMException('insecure', 'SecurityError'));
  const one = await tab();
  await expect(one.registerWorker()).resolves.toBeUndefined();
  expect(await one.takeUpdate()).toBe(false);
});

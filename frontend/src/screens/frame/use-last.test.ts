// @vitest-environment happy-dom
import { act, renderHook } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Entry, Kind } from '../../book/index.ts';
import { useLast } from './use-last.ts';

const book = vi.hoisted(() => ({ undo: vi.fn() }));
vi.mock('../../book/index.ts', () => book);

const entry = (id: string) => ({ id }) as Entry<Kind>;
const count = (id: string, again?: () => Promise<unknown>) => ({
  where: id,
  at: id,
  said: '4',
  more: '',
  ...(again && { again }),
});

/** What comes of it, once the page has drawn it. */
async function acted<T>(work: () => Promise<T>): Promise<T> {
  let told: T | undefined;
  await act(async () => {
    told = await work();
  });
  return told as T;
}

/** A write or a strike that is under way until it is let go. */
function held<T>() {
  let go: (value: T) => void = () => {};
  let fail: (error: Error) => void = () => {};
  const promise = new Promise<T>((yes, no) => {
    go = yes;
    fail = no;
  });
  return { promise, go, fail };
}

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] });
  book.undo.mockReset().mockResolvedValue(undefined);
});
afterEach(() => vi.useRealTimers());

async function three(again?: () => Promise<unknown>) {
  const { result } = renderHook(() => useLast<string>());
  for (const id of ['A1', 'A2', 'A3'])
    await acted(() => result.current.put(count(id, id === 'A3' ? again : undefined), async () => entry(id)));
  return result;
}

describe('what was written last', () => {
  test('is taken back once, though Undo is tapped twice while that is under way', async () => {
    const again = vi.fn(async () => {});
    const here = await three(again);
    const strike = held<void>();
    book.undo.mockReturnValue(strike.promise);
    const taps = [here.current.undoLast(), here.current.undoLast()];
    strike.go();
    expect(await acted(() => Promise.all(taps))).toEqual(['A3', null]);
    expect(again).toHaveBeenCalledTimes(1);
    expect(book.undo.mock.calls).toEqual([['A3']]);
    expect(here.current.last?.where).toBe('A2');
  });

  test('stays what it was when Undo is tapped while the next is being written', async () => {
    const here = await three();
    const write = held<Entry<Kind>>();
    const putting = here.current.put(count('A4'), () => write.promise);
    expect(await acted(() => here.current.undoLast())).toBeNull();
    write.go(entry('A4'));
    expect(await acted(() => putting)).toBe(true);
    expect(book.undo).not.toHaveBeenCalled();
    expect(here.current.last?.where).toBe('A4');
  });

  test('is not written again a second time when the strike failed and Undo is tapped once more', async () => {
    const again = vi.fn(async () => {});
    const here = await three(again);
    book.undo.mockRejectedValueOnce(new Error('This phone is full.'));
    expect(await acted(() => here.current.undoLast())).toBeNull();
    expect(here.current.wrong).toBe('This phone is full.');
    expect(here.current.last?.where).toBe('A3');
    expect(await acted(() => here.current.undoLast())).toBe('A3');
    expect(again).toHaveBeenCalledTimes(1);
  });

  test('says so when something is entered while the one before is still being written', async () => {
    const here = await three();
    const write = held<Entry<Kind>>();
    const putting = here.current.put(count('A4'), () => write.promise);
    const make = vi.fn(async () => entry('A5'));
    expect(await acted(() => here.current.put(count('A5'), make))).toBe(false);
    expect(make).not.toHaveBeenCalled();
    expect(here.current.wrong).toContain('Enter this once more.');
    write.go(entry('A4'));
    expect(await acted(() => putting)).toBe(true);
  });

  test('is shown as being written only where that takes a while', async () => {
    const here = await three();
    const write = held<Entry<Kind>>();
    const putting = here.current.put(count('A4'), () => write.promise);
    await acted(() => vi.advanceTimersByTimeAsync(90));
    expect(here.current.last?.where).toBe('A3');
    await acted(() => vi.advanceTimersByTimeAsync(20));
    expect(here.current.last).toMatchObject({ where: 'A4', durable: false });
    expect(here.current.writing).toBe(true);
    write.go(entry('A4'));
    expect(await acted(() => putting)).toBe(true);
    expect(here.current.last).toMatchObject({ where: 'A4', durable: true });
    expect(here.current.writing).toBe(false);
  });
});

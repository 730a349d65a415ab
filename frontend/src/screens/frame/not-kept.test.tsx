// @vitest-environment happy-dom
import { cleanup, render, screen } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { NotKept } from './not-kept.tsx';

let registered: unknown[];
beforeEach(() => {
  vi.useFakeTimers();
  registered = [];
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const browser = (worker: boolean) =>
  vi.stubGlobal(
    'navigator',
    worker ? { serviceWorker: { getRegistration: async () => registered.at(-1) } } : {},
  );
const said = () => screen.queryByText(/will not open here/) !== null;
const later = (ms: number) => vi.advanceTimersByTimeAsync(ms);

describe('an app that the browser does not keep', () => {
  it('is told of at once where there can be no worker', async () => {
    browser(false);
    render(<NotKept />);
    await later(0);
    expect(said()).toBe(true);
  });
  it('is told of where none could be registered, once there was time to', async () => {
    browser(true);
    render(<NotKept />);
    await later(3000);
    expect(said()).toBe(false);
    await later(2000);
    expect(said()).toBe(true);
  });
  it('is not spoken of where one is registered, soon or late', async () => {
    browser(true);
    render(<NotKept />);
    await later(1000);
    registered.push({});
    await later(5000);
    expect(said()).toBe(false);
  });
});

// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { Bodies } from '../../book/index.ts';
import * as barn from '../testing/a-barn.ts';
import { BroodSexing } from './brood-sexing.tsx';

async function tap(name: string) {
  fireEvent.click(screen.getByRole('button', { name }));
  await vi.advanceTimersByTimeAsync(400);
}
const bodies = () =>
  barn.entries.value
    .filter((e) => !e.struck && e.kind === 'bird_sexed')
    .map((e) => e.body as Bodies['bird_sexed']);
const inHand = () => screen.getByRole('heading', { name: /^Bird/ }).textContent;

beforeEach(() => {
  vi.useFakeTimers({
    now: new Date(2026, 2, 14, 9, 0),
    toFake: ['Date', 'performance', 'setTimeout', 'clearTimeout'],
  });
  barn.freshBarn();
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

describe('sexing day', () => {
  it('writes one bird a tap, each a new bird with the next number', async () => {
    render(<BroodSexing brood="brood-3" />);
    expect(inHand()).toBe('Bird 1');
    await tap('Cock');
    await tap('Hen');
    expect(bodies().map((b) => b.result)).toEqual(['hen', 'cock']);
    expect(new Set(bodies().map((b) => b.bird)).size).toBe(2);
    expect(inHand()).toBe('Bird 3');
  });

  it('goes on where it was left', async () => {
    render(<BroodSexing brood="brood-3" />);
    await tap('Cock');
    await tap('Not sure');
    cleanup();
    render(<BroodSexing brood="brood-3" />);
    expect(inHand()).toBe('Bird 3');
    expect(screen.getByRole('heading', { name: /^Not sure, to look at again/ })).toBeTruthy();
  });

  it('looks at a bird again, the same bird and not a new one', async () => {
    render(<BroodSexing brood="brood-3" />);
    await tap('Not sure');
    const first = bodies()[0]?.bird;
    await tap('Look again at bird 1');
    expect(inHand()).toBe('Bird 1');
    await tap('Hen');
    expect(bodies()[0]).toMatchObject({ bird: first, result: 'hen' });
    expect(screen.queryByRole('heading', { name: /^Not sure, to look/ })).toBeNull();
  });

  it('brings up the bird whose band is typed, and keeps a new band', async () => {
    render(<BroodSexing brood="brood-3" />);
    fireEvent.input(screen.getByLabelText('Band'), { target: { value: 'R14' } });
    await tap('Not sure');
    expect(bodies()[0]?.band).toBe('R14');
    await tap('Hen');
    fireEvent.input(screen.getByLabelText('Band'), { target: { value: 'r 14' } });
    expect(inHand()).toContain('Bird 1');
    await tap('Cock');
    expect(bodies()[0]).toMatchObject({ bird: bodies()[2]?.bird, result: 'cock' });
  });

  it('counts as left only those that nobody has looked at', () => {
    barn.broods.value = barn.broods.value.map((b) => ({ ...b, unlooked: 4, unsure: 2 }));
    render(<BroodSexing brood="brood-3" />);
    expect(document.querySelector('.tally')?.textContent).toMatch(/Not sure2Left4$/);
  });

  it('says done when nothing is left, and takes no more', () => {
    barn.broods.value = barn.broods.value.map((b) => ({ ...b, unlooked: 0, unsure: 0 }));
    render(<BroodSexing brood="brood-3" />);
    expect(screen.getByRole('heading', { name: 'Done' })).toBeTruthy();
    expect((screen.getByRole('button', { name: 'Cock' }) as HTMLButtonElement).disabled).toBe(true);
  });

  it('undoes the last bird', async () => {
    render(<BroodSexing brood="brood-3" />);
    await tap('Cock');
    fireEvent.click(screen.getByRole('button', { name: /Undo/ }));
    await waitFor(() => expect(bodies()).toHaveLength(0));
  });

  it('says that a brood is late, and by how much', () => {
    render(<BroodSexing brood="brood-2" />);
    expect(screen.getByText('5 days late')).toBeTruthy();
  });
});

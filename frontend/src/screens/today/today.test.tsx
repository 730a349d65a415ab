// @vitest-environment happy-dom
import { cleanup, render, screen } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import * as barn from '../testing/a-barn.ts';
import { Today } from './today.tsx';

beforeEach(() => {
  vi.useFakeTimers({ now: new Date(2026, 2, 14, 7, 0), toFake: ['Date'] });
  barn.freshBarn();
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

const count = (cage: string, round: string) =>
  barn.write('egg_count', { cage, round, eggs: 3, cracked: 0, soiled: 0, thin_shelled: 0 });

describe('Today', () => {
  it('says what is late before what is open, with how many birds are left', () => {
    render(<Today />);
    const due = screen.getByRole('list', { name: 'Due, by last day' });
    const lines = [...due.querySelectorAll('li')].map((li) => li.textContent);
    expect(lines[0]).toContain('late5 days');
    expect(lines[0]).toContain('Sexing 26-01');
    expect(lines[0]).toContain('4 left');
    expect(lines[1]).toContain('11days left');
    expect(lines[2]).toContain('in 5days');
  });

  it('says how far this hour’s round is, and leads into it', async () => {
    await count('cage-A1', 'morning');
    await count('cage-A2', 'morning');
    await barn.write('cage_passed', { cage: 'cage-A3', round: 'morning', reason: '' });
    render(<Today />);
    const card = screen.getByRole('link', { name: /^Morning round/ });
    expect(card.textContent).toContain('3 of 30 · 6 eggs · 1 passed over');
    expect(card.getAttribute('href')).toBe('/round/of/morning');
    expect(screen.getByRole('link', { name: /^Evening round/ }).textContent).toContain('Not started');
  });

  it('says how old it is, and that the example farm is one', () => {
    render(<Today />);
    expect(screen.getByText(/as of/)).toBeTruthy();
    expect(screen.getByText(/is the example farm/)).toBeTruthy();
  });

  it('sends the owner of an empty book to set it up', () => {
    barn.cages.value = [];
    render(<Today />);
    expect(screen.getByRole('link', { name: 'Set up the barn' })).toBeTruthy();
  });
});

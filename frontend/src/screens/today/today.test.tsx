// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
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

  it('says that the book is coming, before anything of it is here', () => {
    barn.link.value = { state: 'sending', lastSyncedAt: null };
    [barn.cages.value, barn.dues.value] = [[], []];
    render(<Today />);
    expect(screen.getByText(/being fetched from the house/)).toBeTruthy();
    expect(screen.queryByText(/Nothing is due/)).toBeNull();
    expect(screen.queryByRole('link', { name: 'Set up the barn' })).toBeNull();
  });

  /** What Jon counted, after the house has said that the cage was counted twice. */
  async function jonCounts(eggs: number) {
    await count('cage-A1', 'morning');
    await barn.write('egg_count', {
      cage: 'cage-A1',
      round: 'morning',
      eggs,
      cracked: 1,
      soiled: 0,
      thin_shelled: 0,
    });
    barn.entries.value = barn.entries.value.map((entry, at) => ({
      ...entry,
      author: at === 0 ? 'person-2' : 'person-1',
      place: 'book' as const,
      reason: { code: 'counted_twice', detail: 'Counted twice.', field: null },
    }));
  }

  it('asks which of two counts is right, and once more before it strikes the other', async () => {
    await jonCounts(5);
    render(<Today />);
    const asked = screen.getByRole('region', { name: 'Questions' });
    expect(asked.textContent).toContain('A1, morning round today: counted twice');
    const strikes = { name: /^Keep 5, strike 3 by / };
    fireEvent.click(screen.getByRole('button', { name: /5 eggs ?Jon, .*1 cracked/ }));
    fireEvent.click(screen.getByRole('button', { name: 'Not yet' }));
    expect(screen.queryByRole('button', strikes)).toBeNull();
    expect(barn.entries.value.some((entry) => entry.struck)).toBe(false);
    fireEvent.click(screen.getByRole('button', { name: /5 eggs ?Jon, .*1 cracked/ }));
    fireEvent.click(screen.getByRole('button', strikes));
    await waitFor(() => expect(screen.queryByRole('region', { name: 'Questions' })).toBeNull());
    const struck = barn.entries.value.filter((entry) => entry.struck);
    expect(struck.map((entry) => [entry.author, entry.struck?.why])).toEqual([
      ['person-1', 'counted twice: 5 by Jon is right'],
    ]);
  });

  it('lets a helper see it, and take back their own', async () => {
    barn.me.value = {
      ...(barn.me.value as NonNullable<typeof barn.me.value>),
      person: 'person-2',
      role: 'helper',
    };
    await jonCounts(5);
    render(<Today />);
    expect((screen.getByRole('button', { name: /5 eggs ?Jon/ }) as HTMLButtonElement).disabled).toBe(true);
    expect(screen.getByText(/Only the owner can say which is right/)).toBeTruthy();
    fireEvent.click(screen.getByRole('button', { name: 'Strike my 5 eggs' }));
    await waitFor(() => expect(screen.queryByRole('region', { name: 'Questions' })).toBeNull());
    expect(barn.entries.value.filter((entry) => entry.struck).map((entry) => entry.author)).toEqual([
      'person-2',
    ]);
  });

  it('asks about a doubtful entry, with the ways out', async () => {
    await count('cage-A2', 'morning');
    barn.entries.value = barn.entries.value.map((entry) => ({
      ...entry,
      place: 'book' as const,
      reason: {
        code: 'more_eggs_than_hens',
        detail: '9 eggs from 3 hens are more than they can lay.',
        field: null,
      },
    }));
    render(<Today />);
    expect(screen.getByText(/more than they can lay/)).toBeTruthy();
    expect(screen.getByRole('link', { name: 'The cage' }).getAttribute('href')).toBe('/cage/cage-A2');
    fireEvent.click(screen.getByRole('button', { name: 'Strike: Cage A2: 3 eggs' }));
    expect(screen.getByRole('dialog', { name: 'Strike this entry?' })).toBeTruthy();
  });

  it('lets the owner find right what was asked, for good', async () => {
    const { id } = await count('cage-A2', 'morning');
    barn.entries.value = barn.entries.value.map((entry) => ({
      ...entry,
      place: 'book' as const,
      reason: { code: 'more_eggs_than_hens', detail: 'More than they can lay.', field: null },
    }));
    render(<Today />);
    fireEvent.click(screen.getByRole('button', { name: 'The count is right' }));
    await waitFor(() => expect(screen.queryByText('More than they can lay.')).toBeNull());
    const found = barn.entries.value.find((entry) => entry.kind === 'found_right');
    expect(found?.body).toEqual({ entries: [id], code: 'more_eggs_than_hens', note: '' });
  });

  it('shows the owner what the house set aside of other phones', () => {
    barn.asides.value = [
      {
        id: 'aside-1',
        entry: 'elsewhere',
        kind: 'egg_count',
        author: 'person-2',
        received: Date.now(),
        code: 'body_wrong_field',
        detail: 'Eggs must be 0 to 999.',
        field: 'eggs',
        raw: '',
        mended_by: null,
      },
    ];
    const { unmount } = render(<Today />);
    expect(screen.getByRole('list', { name: 'Set aside from other phones' }).textContent).toContain('Jon');
    unmount();
    barn.me.value = { ...(barn.me.value as NonNullable<typeof barn.me.value>), role: 'helper' };
    render(<Today />);
    expect(screen.queryByRole('list', { name: 'Set aside from other phones' })).toBeNull();
  });

  it('says that the phone has lost its book until somebody has read it', async () => {
    barn.storage.value = { persisted: true, full: false, lost: true };
    render(<Today />);
    expect(screen.getByRole('alert').textContent).toContain('What was written here and not yet sent is lost');
    fireEvent.click(screen.getByRole('button', { name: 'I have read this' }));
    await waitFor(() => expect(screen.queryByRole('alert')).toBeNull());
  });
});

// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));
vi.mock('../../book/trip/house-care.ts', () => ({
  lookAtHouse: vi.fn(),
  lastLook: vi.fn(),
  backUps: vi.fn(),
  backUpNow: vi.fn(),
}));

import * as care from '../../book/trip/house-care.ts';
import * as barn from '../testing/a-barn.ts';
import { TheHouse } from './the-house.tsx';

const asked = vi.mocked(care);
const health = (...findings: care.Health['findings']): care.Health => ({
  looked_at: '2026-03-14T06:40:00Z',
  findings,
});
const shelf = (more: Partial<care.BackUps> = {}): care.BackUps => ({
  folder: '/home/edda/barnbook/backups',
  own_disk: true,
  failed: '',
  rows: [{ name: 'a.zip', made_at: '2026-03-14T02:15:00Z', reason: 'night', bytes: 12_345_678 }],
  making: { state: 'none', done: 0, steps: 4, why: '' },
  may_make: true,
  ...more,
});

beforeEach(() => {
  barn.freshBarn();
  if (barn.me.value) barn.me.value = { ...barn.me.value, role: 'owner' };
  asked.lastLook.mockResolvedValue(null);
  asked.lookAtHouse.mockResolvedValue(health({ about: 'Disk', well: true, sentence: '30 GB are free.' }));
  asked.backUps.mockResolvedValue(shelf());
});
afterEach(() => {
  cleanup();
  vi.resetAllMocks();
});

describe('the house', () => {
  it('says what is to be done before what is well, commands apart', async () => {
    asked.lookAtHouse.mockResolvedValue(
      health(
        { about: 'Disk', well: true, sentence: '30 GB are free.' },
        { about: 'Back-up', well: false, sentence: 'There is none yet: run `barnbook backup`.' },
      ),
    );
    render(<TheHouse />);
    expect(await screen.findByText('1 thing to see to.')).toBeTruthy();
    const list = screen.getByRole('list', { name: 'What the house found' });
    expect([...list.children].map((li) => li.textContent)).toEqual([
      'Back-upSee to itThere is none yet: run barnbook backup.',
      'Disk30 GB are free.',
    ]);
    expect(list.querySelector('code')?.textContent).toBe('barnbook backup');
  });

  it('shows what it said last where it cannot be reached', async () => {
    asked.lookAtHouse.mockRejectedValue(new Error('The house cannot be reached.'));
    asked.lastLook.mockResolvedValue(health({ about: 'Clock', well: true, sentence: 'They agree.' }));
    asked.backUps.mockRejectedValue(new Error('The house cannot be reached.'));
    render(<TheHouse />);
    expect(await screen.findByText(/Below is what it said last/)).toBeTruthy();
    expect(await screen.findByText('All is well.')).toBeTruthy();
    expect(screen.getByText(/^Looked at /)).toBeTruthy();
    expect(await screen.findByText(/made at the house, each night/)).toBeTruthy();
  });

  it('makes a back-up, and says how far it is until it is done', async () => {
    render(<TheHouse />);
    const button = await screen.findByRole('button', { name: 'Back up now' });
    asked.backUpNow.mockResolvedValue(shelf({ making: { state: 'working', done: 1, steps: 4, why: '' } }));
    asked.backUps.mockResolvedValue(
      shelf({
        rows: [{ name: 'b.zip', made_at: '2026-03-14T06:41:00Z', reason: 'hand', bytes: 12_345_678 }],
        making: { state: 'ready', done: 4, steps: 4, why: '' },
      }),
    );
    fireEvent.click(button);
    const bar = (await screen.findByLabelText('Reading the copy through')) as HTMLProgressElement;
    expect([bar.value, bar.max]).toEqual([1, 4]);
    expect(screen.queryByRole('button', { name: 'Back up now' })).toBeNull();
    await waitFor(() => expect(screen.getByText('asked for')).toBeTruthy(), { timeout: 3000 });
    expect(screen.getByRole('button', { name: 'Back up now' })).toBeTruthy();
    expect(screen.getByText('12.3 MB')).toBeTruthy();
    // What the house finds is another thing now.
    await waitFor(() => expect(asked.lookAtHouse).toHaveBeenCalledTimes(2));
  });

  it('says why one could not be made', async () => {
    asked.backUps.mockResolvedValue(
      shelf({
        making: { state: 'failed', done: 1, steps: 4, why: 'No back-up could be made: the disk is full.' },
      }),
    );
    render(<TheHouse />);
    expect((await screen.findByRole('alert')).textContent).toContain('the disk is full');
  });

  it('leaves the button out for whoever may not, and the whole page for a helper', async () => {
    asked.backUps.mockResolvedValue(shelf({ may_make: false, own_disk: false }));
    render(<TheHouse />);
    expect(await screen.findByText('/home/edda/barnbook/backups')).toBeTruthy();
    expect(screen.queryByRole('button', { name: 'Back up now' })).toBeNull();
    expect(screen.queryByText(/no help if that disk dies/)).toBeNull();
    cleanup();
    if (barn.me.value) barn.me.value = { ...barn.me.value, role: 'helper' };
    asked.lookAtHouse.mockClear();
    render(<TheHouse />);
    expect(screen.getByText('This is set up by the owner.')).toBeTruthy();
    expect(asked.lookAtHouse).not.toHaveBeenCalled();
  });
});

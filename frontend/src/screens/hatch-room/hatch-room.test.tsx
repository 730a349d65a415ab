// @vitest-environment happy-dom
import { cleanup, fireEvent, render, screen } from '@testing-library/preact';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import type { Bodies, Kind } from '../../book/index.ts';
import * as barn from '../testing/a-barn.ts';
import { Chicks } from './chicks.tsx';
import { HatchRoom } from './hatch-room.tsx';
import { SetEggs } from './set-eggs.tsx';
import { SettingPage } from './setting-page.tsx';

const bodies = <K extends Kind>(kind: K) =>
  barn.entries.value.filter((e) => !e.struck && e.kind === kind).map((e) => e.body as Bodies[K]);
async function tap(name: string | RegExp) {
  fireEvent.click(screen.getByRole('button', { name, hidden: true }));
  await vi.advanceTimersByTimeAsync(400);
}
const type = (label: string, value: string) =>
  fireEvent.input(screen.getByLabelText(label), { target: { value } });

const set = async (eggs = 20, set_on = '2026-03-07') => {
  await barn.write('eggs_set', {
    setting: 's',
    code: '26-40',
    incubator: '',
    set_on,
    trays: [
      { tray: 't', name: '1', line: 'line-1', cage: 'cage-A1', eggs: [{ laid_on: '2026-03-06', eggs }] },
    ],
    note: '',
  });
};

beforeEach(() => {
  vi.useFakeTimers({
    now: new Date(2026, 2, 14, 9, 0),
    toFake: ['Date', 'performance', 'setTimeout', 'clearTimeout'],
  });
  barn.freshBarn();
  const plumage = [
    { key: 'type', words: 'slate', is_type: true },
    { key: 'fawn', words: 'fawn', is_type: false },
  ];
  barn.lines.value = barn.lines.value.map((l) => ({ ...l, plumage }));
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

describe('the hatch room', () => {
  it('sets eggs of a cage by the day they were laid, and says which are older than the line keeps them', async () => {
    render(<SetEggs />);
    await tap('First tray');
    fireEvent.change(screen.getByLabelText('Eggs of'), { target: { value: 'cage/cage-A1' } });
    await tap('Older days');
    type('Fri, Mar 13', '12');
    type('Wed, Mar 4', '3');
    expect(screen.getByText(/^3 eggs older than the 7 days/)).toBeTruthy();
    await tap('15 eggs in the tray');
    type('Code', '26-41');
    await tap('Set 15 eggs');
    expect(bodies('eggs_set')[0]?.trays[0]).toMatchObject({
      cage: 'cage-A1',
      line: 'line-1',
      eggs: [
        { laid_on: '2026-03-13', eggs: 12 },
        { laid_on: '2026-03-04', eggs: 3 },
      ],
    });
  });

  it('candles a tray: what is not counted was read and is alive', async () => {
    await set();
    render(<SettingPage setting="s" />);
    await tap('Candle tray 1');
    type('Clear', '2');
    type('Dead early', '1');
    type('Too dark to read', '3');
    expect(screen.getByRole('dialog', { hidden: true }).textContent).toContain(
      '14 alive of 17 read, 3 not read; 17 stay in.',
    );
    await tap('Write it down');
    expect(bodies('candled')[0]).toMatchObject({ read: 17, clear: 2, dead_early: 1, unread: 3 });
    expect(screen.getByText(/15 fertile of 17 read; 17 in it/)).toBeTruthy();
  });

  it('says when more was counted than is in the tray, and does not clip it', async () => {
    await set(5);
    render(<SettingPage setting="s" />);
    await tap('Candle tray 1');
    type('Clear', '7');
    expect(screen.getByRole('alert', { hidden: true }).textContent).toContain('2 more than the 5 eggs');
    await tap('Write it down');
    expect(bodies('candled')[0]).toMatchObject({ read: 7, clear: 7 });
    expect(screen.getByText(/More was taken out than was set/)).toBeTruthy();
  });

  it('stands by what is next, with its day in words', async () => {
    await set();
    render(<HatchRoom />);
    const row = screen.getByRole('link', { name: /^7.*Candle 26-40/ });
    expect(row.textContent).toContain('day 7 of 17');
    expect(row.textContent).toContain('today');
  });

  it('lets a brood come of the hatch, one tap a chick by plumage, and undoes one', async () => {
    await set(20, '2026-02-25');
    await barn.write('lockdown', { setting: 's', note: '' });
    await barn.write('hatched', {
      setting: 's',
      tray: 't',
      hatched: 3,
      pipped_dead: 1,
      dead_in_shell: 0,
      note: '',
    });
    render(<Chicks setting="s" />);
    await tap('Begin the brood');
    for (const each of [/^slate/, /^slate/, /^fawn/]) await tap(each);
    expect(bodies('chicks_seen')).toHaveLength(3);
    const [brood] = barn.broods.value.filter((b) => b.setting === 's');
    expect(brood).toMatchObject({
      code: '26-40',
      chicks: 3,
      alive: 3,
      plumage: { type: 2, fawn: 1 },
      trays: ['t'],
    });
    expect(screen.getByText(/: every chick/)).toBeTruthy();
    await tap(/^fawn/);
    expect(screen.getByText(/^1 more than are written as hatched/)).toBeTruthy();
    await tap(/Undo/);
    expect(bodies('chicks_seen')).toHaveLength(3);
  });
});

import { beforeEach, describe, expect, it, vi } from 'vitest';

vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'));

import * as barn from '../testing/a-barn.ts';
import { truth } from './foot.tsx';

const write = () => barn.write('cage_note', { cage: 'cage-A1', text: 'moulting' });
const linkIs = (state: typeof barn.link.value.state) => {
  barn.link.value = { ...barn.link.value, state };
};

describe('the line at the foot', () => {
  beforeEach(barn.freshBarn);

  it('says that all is in the book only when nothing waits', async () => {
    expect(truth()).toMatchObject({ state: 'whole', text: 'All in the book' });
    await write();
    expect(truth()).toMatchObject({ state: 'part', text: '1 on this phone' });
  });
  it('does not say that all is there while the book comes for the first time', () => {
    barn.link.value = { state: 'sending', lastSyncedAt: null };
    expect(truth()).toEqual({ state: 'part', text: 'Fetching the book' });
  });
  it('says that the house cannot be reached, and what waits', async () => {
    linkIs('cannot_reach');
    expect(truth()).toMatchObject({ state: 'cut', text: 'Cannot reach the house' });
    await write();
    expect(truth()).toMatchObject({
      state: 'cut',
      text: '1 on this phone',
      detail: 'cannot reach the house',
    });
  });
  it('asks to sign in again, before all else about the house', async () => {
    await write();
    linkIs('signed_out');
    expect(truth()).toMatchObject({
      state: 'needed',
      text: '1 on this phone',
      detail: 'sign in again to send',
    });
  });
  it('puts what needs a person before what merely waits', async () => {
    await write();
    barn.entries.value = barn.entries.value.map((e) => ({ ...e, place: 'aside' as const }));
    await write();
    expect(truth()).toMatchObject({ state: 'needed', text: '1 to look at', detail: '1 on this phone' });
  });
  it('is loud about a phone that is full', () => {
    barn.storage.value = { persisted: true, full: true };
    expect(truth()).toMatchObject({ state: 'needed', text: 'This phone is full' });
  });
});

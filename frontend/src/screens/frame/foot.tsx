import { fetching, link, outbox, storage } from '../../book/index.ts';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { FootLine, type FootState } from '../../parts/foot-line.tsx';

interface Truth {
  state: FootState;
  text: string;
  detail?: string;
}

/** What the foot says: first what a person must do, then what is not yet in the book, then how the house is. */
export function truth(): Truth {
  const { waiting, refused } = outbox.value;
  const { state, lastSyncedAt } = link.value;
  const here = `${waiting} on this phone`;
  const heard = fetching.value
    ? 'the book is being fetched'
    : lastSyncedAt === null
      ? 'never synced'
      : `synced ${showWhen(lastSyncedAt, now_ms.value)}`;
  if (storage.value.full)
    return { state: 'needed', text: 'This phone is full', detail: 'nothing more can be written' };
  if (storage.value.lost)
    return { state: 'needed', text: 'This phone has lost its book', detail: 'read what that means' };
  if (storage.value.problem) return { state: 'needed', text: 'Something is wrong on this phone' };
  if (state === 'other_house') return { state: 'needed', text: here, detail: 'this is another house' };
  if (state === 'signed_out') return { state: 'needed', text: here, detail: 'sign in again to send' };
  if (refused > 0)
    return { state: 'needed', text: `${refused} to look at`, detail: waiting > 0 ? here : heard };
  if (state === 'cannot_reach')
    return {
      state: 'cut',
      text: waiting > 0 ? here : 'Cannot reach the house',
      detail: waiting > 0 ? 'cannot reach the house' : heard,
    };
  if (state === 'sending' && waiting > 0) return { state: 'part', text: `Sending ${waiting}`, detail: heard };
  if (waiting > 0) return { state: 'part', text: here, detail: heard };
  if (fetching.value) return { state: 'part', text: 'Fetching the book' };
  return { state: 'whole', text: 'All in the book', detail: heard };
}

export function Foot() {
  return <FootLine {...truth()} href="/outbox" />;
}

/** What one tab tells the others (and the worker tells them all): what has changed in the store. Never data itself. */

export type Word =
  | { what: 'changed'; farm: string; tables: string[] }
  | { what: 'trip'; farm: string }
  | { what: 'people' };

const NAME = 'barnbook';

let channel: BroadcastChannel | null = null;

/** Listens to the other tabs. A browser without channels still works: its tabs learn of each other on opening. */
export function listen(hear: (word: Word) => void): void {
  if (typeof BroadcastChannel === 'undefined') return;
  channel?.close();
  channel = new BroadcastChannel(NAME);
  channel.onmessage = (message: MessageEvent<Word>) => hear(message.data);
}

export function tell(word: Word): void {
  if (typeof BroadcastChannel === 'undefined') return;
  channel ??= new BroadcastChannel(NAME);
  channel.postMessage(word);
}

export function stopListening(): void {
  channel?.close();
  channel = null;
}

/** Runs the work alone among all tabs and the worker, where the browser has locks. Ids keep it right without. */
export const alone = <T>(name: string, work: () => Promise<T>): Promise<T> =>
  typeof navigator !== 'undefined' && navigator.locks
    ? (navigator.locks.request(name, work) as Promise<T>)
    : work();

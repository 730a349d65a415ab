/** What is said once on a device, and then believed to have been read. */
import { signal } from '@preact/signals';

const read = signal<ReadonlySet<string>>(new Set());

const key = (what: string) => `barnbook-read-${what}`;

export function wasRead(what: string): boolean {
  if (read.value.has(what)) return true;
  try {
    return localStorage.getItem(key(what)) !== null;
  } catch {
    return false; // said once more rather than never
  }
}

export function setRead(what: string): void {
  read.value = new Set([...read.peek(), what]);
  try {
    localStorage.setItem(key(what), '1');
  } catch {
    // It is said again the next time the app is opened.
  }
}

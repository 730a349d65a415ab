/** The page's side of the worker: registers it, and asks before a new version of the app is taken. */
import { isRoundOpen, ROUND_LOCK, update } from './round-open.ts';

/** Fixed for ever: a phone that has the old one looks for the new one here. */
const WORKER = '/sw.js';
const LOOK_AGAIN_MS = 60 * 60_000;
export const TAKE_OVER = 'take_over';
export const SYNC_TAG = 'barnbook-push';

let registration: ServiceWorkerRegistration | undefined;
let accepted = false;

export async function registerWorker(): Promise<void> {
  if (typeof navigator === 'undefined' || !('serviceWorker' in navigator)) return;
  const { serviceWorker } = navigator;
  // Only a page that had asked for it is loaded anew: the first worker of all takes over in silence.
  serviceWorker.addEventListener('controllerchange', () => {
    if (accepted) location.reload();
  });
  try {
    registration = await serviceWorker.register(WORKER);
  } catch {
    // No worker (a house without https): the app works as long as the house is near.
    return;
  }
  watch(registration);
  let looked = Date.now();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible' || Date.now() - looked < LOOK_AGAIN_MS) return;
    looked = Date.now();
    void lookForUpdate();
  });
}

export const lookForUpdate = async (): Promise<void> => void (await registration?.update().catch(() => {}));

function watch(found: ServiceWorkerRegistration): void {
  const see = () => {
    update.value = found.waiting !== null && navigator.serviceWorker.controller !== null;
  };
  see();
  found.addEventListener('updatefound', () => found.installing?.addEventListener('statechange', see));
}

/** Takes the new version and loads the page anew. False, and nothing done, while a round is open somewhere. */
export async function takeUpdate(): Promise<boolean> {
  const waiting = registration?.waiting;
  if (!waiting || isRoundOpen()) return false;
  const take = () => {
    accepted = true;
    waiting.postMessage(TAKE_OVER);
    return true;
  };
  if (!navigator.locks) return take();
  return navigator.locks.request(ROUND_LOCK, { ifAvailable: true }, async (lock) => lock !== null && take());
}

/** Asks the browser to wake the worker when there is a network again, where it can. */
export async function askToBeWoken(): Promise<void> {
  const sync = (registration as { sync?: { register(tag: string): Promise<void> } } | undefined)?.sync;
  await sync?.register(SYNC_TAG).catch(() => {});
}

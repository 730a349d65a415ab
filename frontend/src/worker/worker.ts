/**
 * The service worker: keeps the app's own files so that every screen opens without signal, and sends the outbox when the
 * browser wakes it. It never answers for the house: /api is not its business, nor is the page for customers.
 */
import { createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';
import { farmBase, type RootBase, rootBase } from '../book/store/database.ts';
import { alone, tell } from '../book/tabs.ts';
import { freshTrouble } from '../book/trip/errand.ts';
import { roundTrip } from '../book/trip/round-trip.ts';

declare const self: ServiceWorkerGlobalScope & {
  __WB_MANIFEST: { url: string; revision: string | null }[];
};
declare const __APP_VERSION__: string;

interface SyncEvent extends ExtendableEvent {
  tag: string;
}

// Every file of the build, the pages that are loaded on demand too: they are here before they are asked for.
precacheAndRoute(self.__WB_MANIFEST, { directoryIndex: '', cleanURLs: false });
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/'), { denylist: [/^\/(api|report|sheet|calendar)(\/|$)/] }),
);

self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

// A new version waits until the person takes it: a page in mid-round keeps the files it was loaded with.
self.addEventListener('message', (event) => {
  if (event.data === 'take_over') void self.skipWaiting();
});

self.addEventListener('sync', (event) => {
  const { tag, waitUntil } = event as SyncEvent & { waitUntil: ExtendableEvent['waitUntil'] };
  if (tag === 'barnbook-push') waitUntil.call(event, sendOutbox());
});

/** The same trip as the page's, alone among all tabs. A trip that fails is left to the browser to try again. */
async function sendOutbox(): Promise<void> {
  const root = rootBase();
  try {
    const id = await root.use((db) => db.get('marks', 'farm'));
    if (id !== undefined) await sendOutboxOf(root, id);
  } finally {
    // A connection that stayed open would hold up a newer app's renewal of the store.
    root.close();
  }
}

async function sendOutboxOf(root: RootBase, id: string): Promise<void> {
  const farm = farmBase(id);
  const tables = new Set<string>();
  const errand = {
    fetch: (...asked: Parameters<typeof fetch>) => fetch(...asked),
    now: () => Date.now(),
    farm,
    root,
    app: __APP_VERSION__,
    trouble: freshTrouble(),
    told: (told: { what: string; tables?: Set<string> }) => {
      for (const table of told.tables ?? []) tables.add(table);
    },
  };
  try {
    const outcome = await alone(`barnbook-trip-${farm.name}`, () =>
      roundTrip(errand, { greet: false, byHand: false }),
    );
    if (outcome.state === 'cannot_reach') throw new Error(outcome.problem);
  } finally {
    // However it ended, some of it may have been marked or laid down.
    tell({ what: 'changed', farm: farm.name, tables: [...tables] });
    tell({ what: 'trip', farm: farm.name });
    farm.close();
  }
}

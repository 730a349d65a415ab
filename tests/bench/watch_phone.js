// Put into the page before its own scripts: notes, on the page's clock, what bench_phone.py asks about.
(() => {
  const seen = {
    taps: [], // when a finger left the pad
    heard: [], // when the page was told
    began: [], // when a strict transaction over the outbox was begun
    durable: [], // when a strict transaction over the outbox was complete
    outbox: [], // when any transaction that may change the outbox was complete
    changed: [], // when another cage than before stood in the page
    painted: [], // when it stood on the screen
    opened: null, // when the app first opened a database: its scripts have run
    padIn: null, // when a pad that takes taps first stood in the page
    pad: null, // when it stood on the screen
    marked: null, // when the last entry that waited was marked
  };

  addEventListener(
    'click',
    (event) => {
      if (!event.target.closest('.number-pad')) return;
      seen.taps.push(event.timeStamp);
      seen.heard.push(performance.now());
    },
    true,
  );

  const open = IDBFactory.prototype.open;
  IDBFactory.prototype.open = function (...asked) {
    seen.opened ??= performance.now();
    return open.apply(this, asked);
  };

  const transaction = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (stores, mode, options) {
    const tx = transaction.call(this, stores, mode, options);
    if (mode !== 'readwrite' || ![stores].flat().includes('outbox')) return tx;
    tx.addEventListener('complete', () => seen.outbox.push(performance.now()));
    if (options?.durability === 'strict') {
      seen.began.push(performance.now());
      tx.addEventListener('complete', () => seen.durable.push(performance.now()));
    }
    return tx;
  };

  // The first task after the next frame: that frame has been handed over by then.
  const afterPaint = (then) =>
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => then(performance.now());
      port2.postMessage(0);
    });

  const place = () =>
    document.querySelector('.at-cage')?.getAttribute('aria-label') ?? document.querySelector('.end-of-round')?.className;
  let cage;
  const look = () => {
    if (seen.pad === null && document.querySelector('.number-pad button:not(:disabled)')) {
      seen.pad = 0;
      seen.padIn = performance.now();
      afterPaint((at) => {
        seen.pad = at;
      });
    }
    const here = place();
    if (here === undefined || here === cage) return;
    cage = here;
    seen.changed.push(performance.now());
    afterPaint((at) => seen.painted.push(at));
  };
  new MutationObserver(look).observe(document, { subtree: true, childList: true, attributes: true });

  // A loop of known work, in milliseconds: the shortest of a few, since other programs only make it longer.
  const loop = () => {
    const once = () => {
      const began = performance.now();
      let sum = 0;
      for (let i = 0; i < 1e7; i++) sum += i % 7;
      return sum > 0 ? performance.now() - began : 0;
    };
    return Math.min(...Array.from({ length: 7 }, once));
  };

  // The least that a tap which writes can take here: one number read, one small thing put, and a word changed on the page.
  const bareTaps = async () => {
    const opening = indexedDB.open('bench');
    opening.onupgradeneeded = () => opening.result.createObjectStore('things', { autoIncrement: true });
    const db = await answer(opening);
    const key = document.createElement('button');
    key.textContent = 'Bare tap';
    key.style = 'position: fixed; inset: 0; z-index: 9';
    const took = [];
    key.addEventListener('click', (event) => {
      const tx = db.transaction('things', 'readwrite', { durability: 'strict' });
      tx.objectStore('things').count().onsuccess = () => tx.objectStore('things').add({ text: 'one small thing' });
      tx.oncomplete = () => took.push(performance.now() - event.timeStamp);
      key.textContent = key.textContent === 'Bare tap' ? 'Bare  tap' : 'Bare tap';
    });
    document.body.append(key);
    return took;
  };

  const answer = (request) =>
    new Promise((yes, no) => {
      request.onsuccess = () => yes(request.result);
      request.onerror = () => no(request.error);
    });
  const book = async () => {
    const { name } = (await indexedDB.databases()).find((each) => each.name.startsWith('barnbook-'));
    return answer(indexedDB.open(name));
  };

  const rows = async () => {
    const db = await book();
    const counts = ['rows', 'entry_rows'].map((store) => answer(db.transaction(store).objectStore(store).count()));
    const [some, others] = await Promise.all(counts);
    db.close();
    return some + others;
  };

  const hex = (bytes) =>
    Array.from(crypto.getRandomValues(new Uint8Array(bytes)), (b) => b.toString(16).padStart(2, '0')).join('');
  const uuid7 = (ms) => {
    const time = ms.toString(16).padStart(12, '0');
    return `${time.slice(0, 8)}-${time.slice(8)}-7${hex(2).slice(1)}-8${hex(2).slice(1)}-${hex(6)}`;
  };

  // Entries as the app would have written them, many in one transaction: how long writing takes is measured by taps.
  const write = async ({ author, entries }) => {
    const db = await book();
    const tx = db.transaction('outbox', 'readwrite');
    entries.forEach(([kind, day, body], at) => {
      const stamp = Date.now() - entries.length + at;
      const id = uuid7(stamp);
      const entry = { id, author, kind, version: 1, day, stamp, zone: 'UTC', body };
      tx.objectStore('outbox').add({ id, entry, state: 'waiting', open: 'waiting' });
    });
    await new Promise((yes, no) => {
      tx.oncomplete = yes;
      tx.onerror = no;
    });
    db.close();
  };

  const waiting = async () => {
    const db = await book();
    const left = await answer(db.transaction('outbox').objectStore('outbox').index('open').count());
    db.close();
    return left;
  };

  // From the first push to the mark on its last entry, in milliseconds, and how much of it was waiting for the house.
  const pushed = () => {
    const pushes = performance.getEntriesByType('resource').filter((each) => each.name.endsWith('/api/push'));
    const last = pushes.at(-1);
    const house = pushes.reduce((sum, each) => sum + each.responseEnd - each.startTime, 0);
    return { batches: pushes.length, took: seen.marked - pushes[0].startTime, after: seen.marked - last.responseEnd, house };
  };

  // Looks, without being in the way, until nothing waits any more; the mark is the last change to the outbox before.
  const untilMarked = async () => {
    while ((await waiting()) > 0) await new Promise((go) => setTimeout(go, 50));
    seen.marked = seen.outbox.at(-1);
  };

  const parts = () => {
    const page = performance.getEntriesByType('navigation')[0].responseEnd;
    const app = performance.getEntriesByType('resource').filter((each) => each.initiatorType === 'script')[0].responseEnd;
    return { pad: seen.pad, page, app, opened: seen.opened, padIn: seen.padIn };
  };

  globalThis.bench = { seen, loop, bareTaps, parts, rows, write, waiting, untilMarked, pushed };
})();

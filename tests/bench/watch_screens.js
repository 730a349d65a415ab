// Put into the page before its own scripts: when a screen at the house stands, and how soon a dragged cut answers.
(() => {
  const seen = {
    opened: null, // when the first frame with the screen in it had been handed over, since the navigation began
    tapped: null, // the last tap's own time stamp
    moves: [], // [when the pointer moved, when the frame with the new number had been handed over]
  };

  // The first task after the next frame: that frame has been handed over by then.
  const afterPaint = (then) =>
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => then(performance.now());
      port2.postMessage(0);
    });

  const kept = () =>
    [...document.querySelectorAll('.cut-chart input')].map((each) => each.value).join(' ');
  let before = '';
  let moved = null;
  addEventListener(
    'pointermove',
    (event) => {
      if (moved !== null || event.buttons === 0) return;
      before = kept();
      moved = event.timeStamp;
      // A move that changes nothing has no answer.
      setTimeout(() => kept() === before && (moved = null), 400);
    },
    true,
  );

  let stands = false;
  addEventListener(
    'click',
    (event) => {
      stands = false;
      seen.opened = null;
      seen.tapped = event.timeStamp;
    },
    true,
  );

  new MutationObserver(() => {
    if (!stands && globalThis.SCREEN && document.querySelector(globalThis.SCREEN)) {
      stands = true;
      afterPaint((at) => (seen.opened = at));
    }
    if (moved !== null && kept() !== before) {
      const at = moved;
      moved = null;
      afterPaint((painted) => seen.moves.push([at, painted]));
    }
  }).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });

  globalThis.screens = { seen };
})();

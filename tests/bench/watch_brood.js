// Put into the page before its own scripts: notes each step of sexing day and weigh day, for bench_brood.py.
(() => {
  const seen = {
    steps: [], // when a key was let go, or a scale ended its weight with Enter
    painted: [], // when what was in the hand before it had changed on the screen
    busy: [], // tasks of the page longer than 50 ms, with when they began
  };

  // The first task after the next frame: that frame has been handed over by then.
  const afterPaint = (then) =>
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => then(performance.now());
      port2.postMessage(0);
    });

  // What is in the hand: the bird to be looked at, the bird just weighed, or the bird that the pad waits for.
  const place = () => {
    const weighed = document.querySelector('.verdict')?.getAttribute('aria-label');
    return weighed ?? document.querySelector('.in-hand h2, .weight-pad')?.textContent;
  };
  let here;
  let asked = null;
  const begin = (event) => {
    here = place();
    asked = event.timeStamp;
  };
  addEventListener('click', (event) => event.target.closest('.look, .decide') && begin(event), true);
  addEventListener('keydown', (event) => event.key === 'Enter' && begin(event), true);

  new MutationObserver(() => {
    if (asked === null || place() === here) return;
    seen.steps.push(asked);
    asked = null;
    afterPaint((at) => seen.painted.push(at));
  }).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });

  new PerformanceObserver((list) => {
    for (const each of list.getEntries()) seen.busy.push([each.startTime, each.duration]);
  }).observe({ type: 'longtask' });

  globalThis.brood = { seen };
})();

import { options, render } from 'preact';
import { openBook } from './book/index.ts';
import { applyLight } from './look/light.ts';
import './look/tokens.css';
import './look/paper.css';
import { followLinks } from './parts/route.ts';
import { Barnbook } from './screens/barnbook.tsx';

/** More promises than lie between a write that is done and the next cage on the screen. */
const SETTLED = 24;
// What one answer of the store changes is drawn once, when its promises have settled; Preact would draw after each of them.
options.debounceRendering = async (draw) => {
  for (let i = 0; i < SETTLED; i++) await null;
  draw();
};

applyLight();
followLinks();
void openBook();
const place = document.getElementById('app');
if (place) render(<Barnbook />, place);

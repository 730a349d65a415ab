import { render } from 'preact';
import { openBook } from './book/index.ts';

const place = document.getElementById('app');
if (place) {
  void openBook();
  render(<main>Barnbook</main>, place);
}

import { render } from 'preact';
import { openBook } from './book/index.ts';
import { applyLight } from './look/light.ts';
import './look/tokens.css';
import './look/paper.css';
import { followLinks } from './parts/route.ts';
import { Barnbook } from './screens/barnbook.tsx';

applyLight();
followLinks();
void openBook();
const place = document.getElementById('app');
if (place) render(<Barnbook />, place);

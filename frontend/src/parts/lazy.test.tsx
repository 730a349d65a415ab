// @vitest-environment happy-dom
import { waitFor } from '@testing-library/preact';
import { render } from 'preact';
import { expect, it } from 'vitest';
import { lazy } from './lazy.tsx';

it('is drawn when it comes after the first drawing and before what follows it', async () => {
  const Page = lazy(() => Promise.resolve(() => <p>here</p>));
  const place = document.createElement('main');
  render(<Page />, place); // what follows a drawing waits for the next frame
  expect(place.textContent).toBe('');
  await Page.load();
  await waitFor(() => expect(place.textContent).toBe('here'));
});

// @vitest-environment happy-dom
import { expect, it } from 'vitest';
import { slipFile } from './save-slip.ts';

it('keeps the slip as one file that asks for nothing else', async () => {
  const sheet = document.createElement('article');
  sheet.className = 'slip printed';
  sheet.innerHTML = '<h2>Hatching eggs</h2>';
  document.body.append(sheet);
  const file = slipFile(sheet, 'P26-09');
  const page = await file.text();
  expect([file.name, file.type]).toEqual(['slip-P26-09.html', 'text/html']);
  expect(page).toContain('<h2>Hatching eggs</h2>');
  expect(page).not.toMatch(/<script|<link|src=|@import|url\(/);
});

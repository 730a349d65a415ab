/** The slip as one file that needs nothing else: its own words and its own look. */
import css from './slip.css?raw';

const TOKENS = ['paper', 'ink', 'pencil', 'rule', 'title', 'text'];

export function slipFile(sheet: HTMLElement, code: string): File {
  const look = getComputedStyle(sheet);
  const tokens = TOKENS.map((name) => `--${name}:${look.getPropertyValue(`--${name}`)};`).join('');
  const page = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${code}</title>
<style>:root{${tokens}}body{margin:0}${css}</style></head><body>${sheet.outerHTML}</body></html>`;
  return new File([page], `slip-${code}.html`, { type: 'text/html' });
}

export function saveSlip(sheet: HTMLElement, code: string): void {
  const address = URL.createObjectURL(slipFile(sheet, code));
  const a = document.createElement('a');
  a.href = address;
  a.download = `slip-${code}.html`;
  a.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

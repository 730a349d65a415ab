import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const css = readFileSync(`${import.meta.dirname}/tokens.css`, 'utf8');

function tokensOf(selector: string): Record<string, string> {
  const start = css.indexOf(`${selector} {`);
  const body = css.slice(css.indexOf('{', start) + 1, css.indexOf('}', start));
  return Object.fromEntries([...body.matchAll(/--([\w-]+):\s*([^;]+);/g)].map((m) => [m[1], m[2]])) as Record<
    string,
    string
  >;
}

function luminance(hex: string): number {
  const channel = (at: number) => {
    const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

/** WCAG 2.2, relative luminance and contrast ratio. */
function contrast(a: string, b: string): number {
  const [dark = 0, bright = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (bright + 0.05) / (dark + 0.05);
}

const day = tokensOf(':root');
const night = tokensOf(':root[data-light="night"]');

describe('the look', () => {
  it('measures contrast as WCAG does: black on white is 21', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5);
  });

  it("is the same at night by choice and by the device's wish", () => {
    expect(tokensOf(':root:not([data-light="day"])')).toEqual(night);
    expect(Object.keys(night).length).toBeGreaterThan(10);
  });

  for (const [when, t] of [
    ['by day', day],
    ['by night', night],
  ] as const) {
    it(`${when} every writing colour is at least 7 : 1 on everything it is written on`, () => {
      for (const ground of ['paper', 'leaf', 'shade'])
        for (const writing of ['ink', 'blue', 'madder', 'pencil'])
          expect(
            contrast(t[writing] ?? '', t[ground] ?? ''),
            `${writing} on ${ground}`,
          ).toBeGreaterThanOrEqual(7);
      expect(contrast(t['on-main'] ?? '', t.main ?? '')).toBeGreaterThanOrEqual(7);
      expect(contrast(t.ink ?? '', t['blue-wash'] ?? '')).toBeGreaterThanOrEqual(7);
      expect(contrast(t.ink ?? '', t['madder-wash'] ?? '')).toBeGreaterThanOrEqual(7);
      expect(contrast(t.madder ?? '', t['madder-wash'] ?? '')).toBeGreaterThanOrEqual(4.5);
      expect(contrast(t.blue ?? '', t['blue-wash'] ?? '')).toBeGreaterThanOrEqual(7);
    });

    it(`${when} the edge of a key is at least 3 : 1 on the page`, () => {
      expect(contrast(t.edge ?? '', t.paper ?? '')).toBeGreaterThanOrEqual(3);
    });
  }
});

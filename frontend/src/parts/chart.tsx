/**
 * A chart: points, lines and bands over two axes with their units; the same in words above it, and in a table behind it.
 * It is drawn at the width it is given, so that its writing is as large at 360 px as on a laptop and in print.
 */
import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import './chart.css';

export interface Axis {
  /** What is measured, with its unit: "Age of hen, weeks". */
  label: string;
  from: number;
  to: number;
  show: (value: number) => string;
  /** The distance between two marks; a round number is found where it is not given. */
  step?: number;
}

export type Series =
  | { draw: 'dots'; name: string; points: [number, number][] }
  | { draw: 'line' | 'dashes'; name: string; points: [number, number][] }
  | { draw: 'band'; name: string; points: [number, number, number][] }
  | { draw: 'bars'; name: string; width: number; points: [number, number][] };

interface Props {
  summary: string;
  x: Axis;
  y: Axis;
  series: Series[];
  /** Upright lines with a word. */
  marks?: { x: number; name: string }[];
  /** The table behind: its head, and its rows. */
  head: string[];
  rows: (string | number)[][];
  height?: number;
  /** Drawn on top, in the chart's own pixels. */
  children?: (place: Place) => ComponentChildren;
}

export interface Place {
  x: (value: number) => number;
  y: (value: number) => number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

const [LEFT, RIGHT, TOP, BOTTOM] = [46, 10, 14, 42];
const PRINTED_PX = 640;

/** A round distance between marks, so that there are at most `most` of them. */
export function roundStep(span: number, most: number): number {
  const rough = span / most;
  const ten = 10 ** Math.floor(Math.log10(rough));
  return ([1, 2, 2.5, 5, 10].find((n) => n * ten >= rough - 1e-12) ?? 10) * ten;
}

const marksOf = ({ from, to, step }: Axis, most: number): number[] => {
  const by = step ?? roundStep(to - from, most);
  const first = Math.ceil(from / by - 1e-9);
  return Array.from({ length: Math.floor(to / by + 1e-9) - first + 1 }, (_, n) => (first + n) * by);
};

export function Chart({ summary, x, y, series, marks = [], head, rows, height = 240, children }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(PRINTED_PX);
  useLayoutEffect(() => {
    const here = frame.current;
    if (!here) return;
    const measure = () => here.clientWidth > 0 && setWidth(here.clientWidth);
    measure();
    if (typeof ResizeObserver === 'undefined') return;
    const watch = new ResizeObserver(measure);
    watch.observe(here);
    return () => watch.disconnect();
  }, []);
  const right = width - RIGHT;
  const bottom = height - BOTTOM;
  const place: Place = {
    x: (value) => LEFT + ((value - x.from) / (x.to - x.from || 1)) * (right - LEFT),
    y: (value) => bottom - ((value - y.from) / (y.to - y.from || 1)) * (bottom - TOP),
    left: LEFT,
    right,
    top: TOP,
    bottom,
  };
  const path = (points: number[][]) =>
    points.map(([a = 0, b = 0], n) => `${n === 0 ? 'M' : 'L'}${f(place.x(a))} ${f(place.y(b))}`).join('');
  return (
    <div class="chart" ref={frame}>
      <p>{summary}</p>
      <svg viewBox={`0 0 ${width} ${height}`} height={height} role="img" aria-label={summary}>
        {marksOf(y, 5).map((value) => (
          <g key={value}>
            <path class="rule" d={`M${LEFT} ${f(place.y(value))}H${right}`} />
            <text x={LEFT - 6} y={place.y(value) + 4} text-anchor="end">
              {y.show(value)}
            </text>
          </g>
        ))}
        {marksOf(x, width < 420 ? 5 : 9).map((value) => (
          <g key={value}>
            <path class="axis" d={`M${f(place.x(value))} ${bottom}v4`} />
            <text x={place.x(value)} y={bottom + 17} text-anchor="middle">
              {x.show(value)}
            </text>
          </g>
        ))}
        <text class="unit" x={LEFT} y={TOP - 3}>
          {y.label}
        </text>
        <text class="unit" x={right} y={height - 5} text-anchor="end">
          {x.label}
        </text>
        {series.map((one) => (
          <g key={one.name} class={one.draw}>
            {one.draw === 'band' && (
              <path
                d={`${path(one.points.map(([a, low]) => [a, low]))}${path(
                  one.points.map(([a, , high]) => [a, high]).reverse(),
                ).replace('M', 'L')}Z`}
              />
            )}
            {(one.draw === 'line' || one.draw === 'dashes') && <path d={path(one.points)} />}
            {one.draw === 'dots' &&
              one.points.map(([a, b]) => (
                <circle key={`${a} ${b}`} cx={f(place.x(a))} cy={f(place.y(b))} r="2.5" />
              ))}
            {one.draw === 'bars' &&
              one.points.map(([a, b]) => (
                <rect
                  key={a}
                  x={f(place.x(a) + 0.5)}
                  width={f(Math.max(place.x(a + one.width) - place.x(a) - 1, 1))}
                  y={f(place.y(b))}
                  height={f(bottom - place.y(b))}
                />
              ))}
          </g>
        ))}
        {marks.map((mark) => (
          <g key={mark.name} class="mark">
            <path d={`M${f(place.x(mark.x))} ${TOP}V${bottom}`} />
            <text
              x={place.x(mark.x) + (mark.x > (x.from + x.to) / 2 ? -5 : 5)}
              y={TOP + 11}
              text-anchor={mark.x > (x.from + x.to) / 2 ? 'end' : 'start'}
            >
              {mark.name}
            </text>
          </g>
        ))}
        <path class="axis" d={`M${LEFT} ${TOP}V${bottom}H${right}`} fill="none" />
        {children?.(place)}
      </svg>
      <Key series={series} />
      <details>
        <summary>As a table</summary>
        <div class="table-holder">
          <table>
            <thead>
              <tr>
                {head.map((name) => (
                  <th key={name} scope="col">
                    {name}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rows.map((row) => (
                <tr key={row.join()}>
                  {row.map((cell, n) => (
                    <td key={head[n]}>{cell}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </div>
  );
}

const f = (n: number) => Math.round(n * 10) / 10;

/** Which line is which, where there is more than one. */
function Key({ series }: { series: Series[] }) {
  if (series.length < 2) return null;
  return (
    <ul class="chart-key" aria-hidden="true">
      {series.map(({ draw, name }) => (
        <li key={name}>
          <svg viewBox="0 0 28 12" width="28" height="12" class={draw} aria-hidden="true">
            {draw === 'dots' && <circle cx="14" cy="6" r="3" />}
            {(draw === 'line' || draw === 'dashes') && <path d="M0 6H28" />}
            {draw === 'band' && <path d="M0 1H28V11H0Z" />}
            {draw === 'bars' && <rect x="8" y="1" width="12" height="11" />}
          </svg>
          {name}
        </li>
      ))}
    </ul>
  );
}

import { encode } from 'uqr';

/** A text as squares to be read by a camera, four squares of quiet around them (ISO/IEC 18004); in the ink's colour, as
 * large as its class says. */
export function Qr({ text, label, class: name }: { text: string; label: string; class: string }) {
  const { data, size } = encode(text, { ecc: 'M', border: 4 });
  const path = data.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ''))).join('');
  return (
    <svg
      class={name}
      viewBox={`0 0 ${size} ${size}`}
      role="img"
      aria-label={label}
      shape-rendering="crispEdges"
    >
      <path d={path} fill="currentColor" />
    </svg>
  );
}

/** The few drawn marks of the book, as strokes of a pen; always beside a word or with a name for those who cannot see them. */
const STROKES = {
  back: 'M15 5 L8 12 L15 19',
  on: 'M9 5 L16 12 L9 19',
  undo: 'M9 8 H15 a5 5 0 0 1 0 10 H8 M12 4 L8 8 L12 12',
  tick: 'M5 13 L10 18 L20 6',
  cross: 'M6 6 L18 18 M18 6 L6 18',
  pass: 'M5 12 H19 M14 7 L19 12 L14 17',
  plus: 'M12 5 V19 M5 12 H19',
  less: 'M5 12 H19',
  late: 'M12 5 V14 M12 18 V18.5',
} as const;

export type MarkName = keyof typeof STROKES;

export function Mark({ name, size = 24 }: { name: MarkName; size?: number }) {
  return (
    <svg
      class="mark"
      width={size}
      height={size}
      viewBox="0 0 24 24"
      fill="none"
      stroke="currentColor"
      stroke-width="2.4"
      stroke-linecap="round"
      stroke-linejoin="round"
      aria-hidden="true"
    >
      <path d={STROKES[name]} />
    </svg>
  );
}

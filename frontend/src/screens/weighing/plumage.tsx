import { type BirdRow, type LineRow, write } from '../../book/index.ts';
import { Choice } from '../../parts/choice.tsx';
import { useWriting } from '../frame/use-writing.ts';

/** Which plumage class a bird is of, seen on the bird itself: so the book can tell what an off-type weighs. Only where the line has any. */
export function Plumage({ bird, line, off = false }: { bird: BirdRow; line: LineRow; off?: boolean }) {
  const { wrong, busy, run } = useWriting();
  if (line.plumage.length < 2) return null;
  const choose = (plumage: string) => {
    if (off || busy || plumage === bird.plumage) return;
    void run(() => write('plumage_seen', { bird: bird.id, brood: bird.brood, plumage }));
  };
  return (
    <>
      <Choice
        label="Plumage"
        value={bird.plumage ?? null}
        options={line.plumage.map(({ key, words }) => ({ value: key, name: words }))}
        onChoose={choose}
      />
      {wrong !== null && <p class="late">{wrong}</p>}
    </>
  );
}

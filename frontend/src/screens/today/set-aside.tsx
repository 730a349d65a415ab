import { type AsideRow, asides, outbox, strike } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';

/** What the house set aside of other phones and nobody has answered yet. Those of this phone are in its outbox. */
export function asidesOfOthers(): AsideRow[] {
  const here = new Set(outbox.value.entries.map((entry) => entry.id));
  return asides.value.filter((aside) => aside.mended_by === null && !here.has(aside.entry));
}

/** The owner sees them; the phone that wrote one can mend it, and the owner can strike it. */
export function SetAside() {
  const others = asidesOfOthers();
  if (others.length === 0) return null;
  return (
    <section class="stack">
      <h2>Set aside from other phones</h2>
      <p class="quiet">
        Each counts for nothing until it is mended on the phone that wrote it, or struck here.
      </p>
      <Ledger label="Set aside from other phones">
        {others.map((aside) => (
          <One key={aside.id} aside={aside} />
        ))}
      </Ledger>
    </section>
  );
}

function One({ aside }: { aside: AsideRow }) {
  const { run, busy, wrong } = useWriting();
  const kind = aside.kind.replaceAll('_', ' ');
  return (
    <Row
      margin={showWhen(aside.received, now_ms.value)}
      end={
        <Button
          kind="quiet"
          disabled={busy}
          aria-label={`Strike: ${kind}, ${aside.detail}`}
          onClick={() => run(() => strike(aside.entry, 'set aside, struck by the owner'))}
        >
          Strike
        </Button>
      }
    >
      <span>{aside.detail}</span>
      <small>
        {kind}
        {aside.author !== null && `, ${who(aside.author)}`}
      </small>
      {wrong !== null && <small class="late">{wrong}</small>}
    </Row>
  );
}

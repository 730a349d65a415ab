import './written.css';

/** What a hand just wrote: hollow until the phone has it for good, then solid ink. Never only by colour: the shape of the digit changes. */
export function Written({ children, durable }: { children: string | number; durable: boolean }) {
  return (
    <span class="written" data-durable={durable}>
      {children}
      <span class="only-read">{durable ? ' written' : ' being written'}</span>
    </span>
  );
}

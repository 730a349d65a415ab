import type { ComponentChildren } from 'preact';
import './ledger.css';

/** Rows of a page: what stands in the margin, the margin line, what stands beside it. */
export function Ledger({
  children,
  label,
  narrow = false,
}: {
  children: ComponentChildren;
  label?: string;
  narrow?: boolean;
}) {
  return (
    <ul class="ledger" aria-label={label} data-narrow={narrow || undefined}>
      {children}
    </ul>
  );
}

interface RowProps {
  margin: ComponentChildren;
  children: ComponentChildren;
  href?: string;
  /** Struck through: it stays readable and counts for nothing. */
  struck?: boolean;
  /** What can be done with the row, at its end. */
  end?: ComponentChildren;
}

export function Row({ margin, children, href, struck = false, end }: RowProps) {
  const line = (
    <>
      <span class="in-margin">{margin}</span>
      <span class="on-line">{children}</span>
    </>
  );
  return (
    <li data-struck={struck || undefined}>
      {href === undefined ? (
        <div class="row">
          {line}
          {end}
        </div>
      ) : (
        <a class="row" href={href}>
          {line}
          {end}
        </a>
      )}
    </li>
  );
}

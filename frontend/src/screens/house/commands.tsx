/** A sentence of the house; what stands between backticks in it is typed at the house's own machine. */
export function Commands({ children }: { children: string }) {
  return <>{children.split('`').map((part, i) => (i % 2 === 1 ? <code key={part}>{part}</code> : part))}</>;
}

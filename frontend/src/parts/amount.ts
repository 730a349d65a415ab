/** "1 hen", "3 hens". */
export function amount(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}

/** "2 hens, 1 cock": leaves out what there is none of. */
export function amounts(parts: [n: number, one: string, many?: string][]): string {
  return parts
    .filter(([n]) => n !== 0)
    .map(([n, one, many]) => amount(n, one, many))
    .join(', ');
}

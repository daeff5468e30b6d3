/** The middle value; the higher one where two are in the middle. @param values at least one */
export function median(values: readonly number[]): number {
  return Float64Array.from(values).sort()[values.length >> 1]
}

// Which of several tests hold when many are made at once.
// Benjamini and Hochberg, J. R. Statist. Soc. B 57(1), 1995.

/** @param rate the share of the named tests that may be false, 0 to 1 */
export function discoveriesOf(pValues: readonly number[], rate: number): readonly boolean[] {
  const ascending = [...pValues].sort((a, b) => a - b)
  const last = ascending.findLastIndex((p, i) => p <= ((i + 1) / ascending.length) * rate)
  return pValues.map((p) => last !== -1 && p <= ascending[last])
}

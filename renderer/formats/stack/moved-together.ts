// Values of several layers that move together.

/**
 * All values moved by the same amount: the wanted one, or less where one of them would leave its bounds, so that they
 * keep their distances. The sums are rounded to a millionth, against the error of sums of decimals.
 * @param bounds in the unit of the values
 */
export function movedTogether(
  values: readonly number[],
  by: number,
  { min, max }: { readonly min: number; readonly max: number },
): number[] {
  const room = by > 0 ? max - Math.max(...values) : min - Math.min(...values)
  const move = by > 0 ? Math.min(by, Math.max(0, room)) : Math.max(by, Math.min(0, room))
  return values.map((value) => Number((value + move).toFixed(6)))
}

/** The value that all have; null where they differ, or there are none. */
export const commonOf = <T>(values: readonly T[]): T | null =>
  values.length > 0 && values.every((value) => value === values[0]) ? values[0] : null

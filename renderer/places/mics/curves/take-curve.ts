// The mic curve of the selected take.

import type { CurveRecord, Take } from '../../../../app/contract/entities.ts'
import { useCurrentSession } from '../../../state/queries.ts'
import { useSelection } from '../../../state/selection.ts'

/** The curve assigned to the take, else its mic's oldest curve; the correction in a chain uses the same. */
export function curveOfTake(
  take: Pick<Take, 'curveId' | 'micId'>,
  curves: readonly CurveRecord[],
): CurveRecord | undefined {
  if (take.curveId !== null) return curves.find(({ id }) => id === take.curveId)
  if (take.micId === null) return undefined
  return curves
    .filter(({ micId }) => micId === take.micId)
    .reduce<CurveRecord | undefined>(
      (oldest, curve) => (oldest === undefined || curve.id < oldest.id ? curve : oldest),
      undefined,
    )
}

/** The selected take, else that of the session's first lead, else the first take; with its curve. */
export function useTakeCurve(curves: readonly CurveRecord[]): {
  take: Take | undefined
  curve: CurveRecord | undefined
} {
  const { takeId } = useSelection()
  const contents = useCurrentSession().data
  const lead = contents?.layers.find(({ role }) => role === 'lead')
  const take =
    contents?.takes.find(({ id }) => id === takeId) ??
    contents?.takes.find(({ id }) => id === lead?.takeId) ??
    contents?.takes[0]
  return { take, curve: take === undefined ? undefined : curveOfTake(take, curves) }
}

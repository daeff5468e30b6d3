// Names and descriptions of curves.

import type { CurveRecord, Mic } from '../../../../app/contract/entities.ts'
import { withUnit } from '../../../../app/words/format.ts'
import type { SelectItem } from '../../../parts/fields/select.tsx'

/** Name of the mic that a curve belongs to; “Target” for a curve without a mic. */
export const micNameOf = (mics: readonly Mic[], curve: Pick<CurveRecord, 'micId'>): string =>
  curve.micId === null ? 'Target' : (mics.find(({ id }) => id === curve.micId)?.name ?? 'Mic')

/** Source, pattern and distance of a curve, separated by commas. */
export function describeCurve(curve: CurveRecord): string {
  return [
    curve.source,
    ...(curve.pattern === 'unknown' ? [] : [curve.pattern]),
    ...(curve.distanceM === null ? [] : [withUnit(String(curve.distanceM), 'm')]),
  ].join(', ')
}

/** Curves as list items. The mic comes first, because lists are searched by mic. */
export const curveItems = (curves: readonly CurveRecord[], mics: readonly Mic[]): SelectItem<number>[] =>
  curves.map((curve) => ({
    key: curve.id,
    name: `${micNameOf(mics, curve)}: ${curve.name}`,
    detail: describeCurve(curve),
  }))

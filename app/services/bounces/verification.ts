// What the verifications of bounces and deliveries have in common: which takes a stem needs, and how a difference is
// said.

import type { TakeAbsence } from '../../contract/entities.ts'
import type { Manifest } from '../../contract/manifest.ts'
import { takeHashesOf } from '../../contract/passages/layer-takes.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { unitsOf } from '../../engine/rendering/render-unit.ts'
import { PROGRAM } from '../program.ts'
import type { AbsentTake } from '../takes/take-files.ts'

/** What a stem is of; the whole stack without a source. */
export interface StemSource {
  readonly kind: string
  readonly sourceId: number | null
}

type UnitOfPlan = ReturnType<typeof unitsOf>[number]

/** Whether a stem is rendered by a unit. */
export const belongsTo = (unit: UnitOfPlan, { kind, sourceId }: StemSource): boolean =>
  (kind === 'group' ? unit.groups : unit.layers).some((one) => one.id === sourceId)

/** The first missing and the first changed take that affect a stem. */
export function absentTakesOf(
  plan: RenderPlan,
  stem: StemSource,
  absent: ReadonlyMap<string, AbsentTake>,
): Record<TakeAbsence, AbsentTake | undefined> {
  const layers =
    stem.sourceId === null ? plan.layers : (unitsOf(plan).find((unit) => belongsTo(unit, stem))?.layers ?? [])
  const takes = [...takeHashesOf(layers)].flatMap((sha256) => absent.get(sha256) ?? [])
  return {
    missing: takes.find(({ state }) => state === 'missing'),
    changed: takes.find(({ state }) => state === 'changed'),
  }
}

/** Why a stem cannot be rendered again. */
export const missingTakeReason = ({ take, path }: AbsentTake): string =>
  `the take ${take.name} is missing, last at ${path}; find it, then verify again`

/** The sound of the same settings may change from version to version, so a version of its own is named. */
export function otherBytes({ name, version }: Manifest['program']): string {
  const differs = 'rendering it again gives different bytes'
  return version === PROGRAM.version
    ? differs
    : `${differs}: it was bounced by ${name} ${version}, and ${PROGRAM.name} ${PROGRAM.version} may render the same settings differently; the file itself has not changed since`
}

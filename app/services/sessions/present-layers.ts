// Leaves out the layers whose take is missing, so that the others can be heard and measured.

import type { Layer, Take } from '../../contract/entities.ts'
import { type AbsentTake, type FoundTake, locateTakes } from '../takes/take-files.ts'
import type { VerifiedFiles } from '../takes/verified-files.ts'

/** The layers that have a file, and the takes of those that would sound. */
export interface PresentLayers {
  readonly layers: readonly Layer[]
  readonly found: readonly FoundTake<Take>[]
  readonly missing: readonly AbsentTake<Take>[]
}

/**
 * @param alsoLayerId a layer that sounds even if it is muted
 * @param isBrief see VerifiedFiles
 */
export async function presentLayers(
  verified: VerifiedFiles,
  root: string,
  takes: readonly Take[],
  layers: readonly Layer[],
  { alsoLayerId, isBrief }: { alsoLayerId?: number | undefined; isBrief: boolean },
): Promise<PresentLayers> {
  const sounding = layers.filter(({ muted, id }) => !muted || id === alsoLayerId)
  const used = new Set(sounding.map(({ takeId }) => takeId))
  const usedTakes = takes.filter(({ id }) => used.has(id))
  const { found, absent } = await locateTakes(verified, root, usedTakes, isBrief)
  const missingIds = new Set(absent.map(({ take }) => take.id))
  return { layers: layers.filter(({ takeId }) => !missingIds.has(takeId)), found, missing: absent }
}

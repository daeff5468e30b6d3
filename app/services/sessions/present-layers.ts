// Leaves out the layers whose take is missing, so that the others can be heard and measured.

import type { Layer, Take } from '../../contract/entities.ts'
import { placeOfTake } from '../takes/take-files.ts'

/** The layers that have a file, and the missing takes of those that would sound. */
export interface PresentLayers {
  readonly layers: readonly Layer[]
  readonly missing: readonly Take[]
}

/** @param alsoLayerId a layer that sounds even if it is muted */
export function presentLayers(
  root: string,
  takes: readonly Take[],
  layers: readonly Layer[],
  alsoLayerId?: number,
): PresentLayers {
  const sounding = layers.filter(({ muted, id }) => !muted || id === alsoLayerId)
  const used = new Set(sounding.map(({ takeId }) => takeId))
  const missing = takes.filter((take) => used.has(take.id) && placeOfTake(root, take) === undefined)
  const missingIds = new Set(missing.map(({ id }) => id))
  return { layers: layers.filter(({ takeId }) => !missingIds.has(takeId)), missing }
}

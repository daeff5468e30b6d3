// The takes of a planned layer: its own, and those of its passages.

import type { PlannedLayer } from '../render-plan.ts'

type LayerWithTakes = Pick<PlannedLayer, 'take' | 'stages' | 'passages'>

/** Each take of the layer once, its own first, with the stages that run on it before the join. */
export const takesOfLayer = ({ take, stages, passages }: LayerWithTakes): LayerTake[] => [
  { take, stages },
  ...(passages?.furtherTakes ?? []),
]
type LayerTake = Pick<PlannedLayer, 'take' | 'stages'>

/** 1 where all takes of the layer are mono, else 2. */
export const channelsOfLayer = (layer: LayerWithTakes): number =>
  takesOfLayer(layer).reduce((most, { take }) => Math.max(most, take.channels), 1)

/** SHA-256 of all takes of the layers, each once, in the order of the layers. */
export const takeHashesOf = (layers: readonly LayerWithTakes[]): Set<string> =>
  new Set(layers.flatMap((layer) => takesOfLayer(layer).map(({ take }) => take.sha256)))

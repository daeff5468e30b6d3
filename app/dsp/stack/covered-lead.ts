// Where the other layers cover the words of the lead: phrases of which less than half is heard.

import type { Span } from '../maths/span.ts'
import type { StackFinding } from './stack-finding.ts'
import type { StackLayer } from './stack-layers.ts'

/** The part of one span that is kept. */
export interface Covered extends Span {
  readonly share: number | null
  readonly shareWithout: Float64Array
}

const LEAST_HEARD = 0.5
/** Phrases that are covered and at most this far apart are one place. */
const GAP_SECONDS = 3
const MOST_FOUND = 8
/** A layer is named if leaving it out brings back this share of what the first one brings back. */
const NAMED_SHARE = 0.4
/** A third of the lead, or more, is reached with 3 dB less of one layer; below, with 6 dB (our choice). */
const LITTLE_HEARD = 0.35

/** @param copies layers that have the sound of the lead itself, which do not cover it */
export function coveredLead(
  spans: readonly Covered[],
  layers: readonly StackLayer[],
  copies: ReadonlySet<number>,
): StackFinding[] {
  const runs: Covered[][] = []
  for (const span of spans) {
    if (span.share === null || span.share >= LEAST_HEARD) continue
    const last = runs.at(-1)
    if (last !== undefined && span.fromS - last.at(-1)!.toS <= GAP_SECONDS) last.push(span)
    else runs.push([span])
  }
  return runs
    .flatMap((run) => findingOf(run, layers, copies) ?? [])
    .sort((a, b) => a.value - b.value)
    .slice(0, MOST_FOUND)
}

function findingOf(
  run: readonly Covered[],
  layers: readonly StackLayer[],
  copies: ReadonlySet<number>,
): StackFinding | null {
  const seconds = run.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0)
  const mean = (of: (span: Covered) => number): number =>
    run.reduce((sum, span) => sum + of(span) * (span.toS - span.fromS), 0) / seconds
  const share = mean((span) => span.share!)
  const brought = layers
    .flatMap(({ isLead }, k) => (isLead ? [] : [{ k, without: mean((span) => span.shareWithout[k]) }]))
    .sort((a, b) => b.without - a.without)
  if (brought.length === 0 || copies.has(brought[0].k)) return null
  const named = brought.filter(
    ({ without }, i) => i === 0 || without - share >= NAMED_SHARE * (brought[0].without - share),
  )
  return {
    kind: 'covered-lead',
    layerIds: named.map(({ k }) => layers[k].id),
    fromS: run[0].fromS,
    toS: run.at(-1)!.toS,
    places: run.map(({ fromS, toS }) => ({ fromS, toS })),
    value: share,
    unit: 'share',
    evidence: { withoutFirst: named[0].without },
    suggestion: { act: 'gain', layerId: layers[named[0].k].id, gainDb: share >= LITTLE_HEARD ? -3 : -6 },
  }
}

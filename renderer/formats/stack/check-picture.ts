// What the stack's check shows in the row of each layer: how much of the stack it is in each strand, phrase by phrase,
// and where the findings on it are.

import type { SessionContents } from '../../../app/contract/entities.ts'
import { STRANDS } from '../../../app/contract/joints.ts'
import type { StackCheck, StackFinding } from '../../../app/contract/stack-check/stack-check.ts'

/** A stretch of the song in seconds with what a layer is in it. */
interface LayerShares {
  readonly fromS: number
  readonly toS: number
  /** Share of the stack's energy for each strand from low to high, 0 where it cancels; null where the stack is silent. */
  readonly strands: readonly (number | null)[]
}

/** A finding on a layer, at its places. */
interface LayerMark {
  /** Index in the check's findings. */
  readonly finding: number
  readonly places: readonly { readonly fromS: number; readonly toS: number }[]
  /** The strand that builds up through this layer; null for other findings. */
  readonly strand: number | null
}

export interface LayerPicture {
  readonly shares: readonly LayerShares[]
  readonly marks: readonly LayerMark[]
}

const strandAt = (hz: number): number => STRANDS.findIndex(({ toHz }) => hz < toHz)

/** The picture of each layer that was checked, by its id. */
export function picturesOf(check: StackCheck): ReadonlyMap<number, LayerPicture> {
  const bandsOf = STRANDS.map((_, strand) =>
    check.bands.flatMap(({ hz }, band) => (strandAt(hz) === strand ? [band] : [])),
  )
  // Bands weigh by their energy in the whole stack, so that an empty band says nothing.
  const weights = new Map(check.mono.map(({ hz, energyShare }) => [hz, energyShare]))
  const weightOf = (band: number): number => weights.get(check.bands[band].hz) ?? 0
  return new Map(
    check.layers.map(({ layerId }, k) => [
      layerId,
      {
        shares: check.spans.map(({ fromS, toS, shares }) => ({
          fromS,
          toS,
          strands: bandsOf.map((bands) => {
            const heard = bands.filter((band) => shares[k][band] !== null && weightOf(band) > 0)
            const whole = heard.reduce((sum, band) => sum + weightOf(band), 0)
            if (whole === 0) return null
            const own = heard.reduce((sum, band) => sum + weightOf(band) * shares[k][band]!, 0)
            return Math.min(1, Math.max(0, own / whole))
          }),
        })),
        marks: check.findings.flatMap((finding, index) =>
          finding.layerIds.includes(layerId)
            ? [{ finding: index, places: finding.places, strand: builtUpStrand(finding, layerId) }]
            : [],
        ),
      },
    ]),
  )
}

const builtUpStrand = (finding: StackFinding, layerId: number): number | null =>
  (finding.kind === 'harsh-build-up' || finding.kind === 'build-up') && finding.layerIds[0] === layerId
    ? strandAt(finding.evidence.hz)
    : null

/** All of a session that a check depends on; another text means that its findings may be those of before. */
export const checkedState = ({ session, groups, layers, takes }: SessionContents): string =>
  JSON.stringify([
    [session.sampleRateHz, session.chainSharing, session.sharedChainVersionId, session.panLaw],
    groups.map(({ id, chainVersionId, gainDb }) => [id, chainVersionId, gainDb]),
    layers.map((one) => [
      ...[one.id, one.takeId, one.groupId, one.role],
      ...[one.offsetSamples, one.gainDb, one.pan, one.muted, one.polarityInverted],
    ]),
    takes.map(({ id, micId, curveId }) => [id, micId, curveId]),
  ])

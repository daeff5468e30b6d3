// A starting value for the shelf that removes or adds proximity effect.

import type { ProximityProposal } from '../../contract/correction.ts'
import type { InputOf } from '../../contract/wire/commands.ts'
import { proximityShelf } from '../../dsp/correction/proximity.ts'

type Pattern = InputOf<'proposeProximity'>['pattern']

/** The pressure-gradient share of each first-order pattern: b in a + b cos θ, where a + b = 1. */
const GRADIENT_SHARE: Readonly<Record<Exclude<Pattern, 'unknown'>, number>> = {
  omni: 0,
  'wide cardioid': 0.37,
  cardioid: 0.5,
  supercardioid: 0.63,
  hypercardioid: 0.75,
  'figure-8': 1,
}

/** Distances in metres from the capsule: of the source when the curve was measured, and of the singer. */
export function proposeProximity(request: {
  readonly pattern: Pattern
  readonly curveDistanceM: number
  readonly voiceDistanceM: number
}): ProximityProposal {
  const { pattern, curveDistanceM, voiceDistanceM } = request
  if (pattern === 'unknown') {
    return { shelf: null, evidence: 'The pattern of this curve is not known; set it first.' }
  }
  if (pattern === 'omni') {
    return { shelf: null, evidence: 'An omni answers to pressure alone and has no proximity effect.' }
  }
  const band = proximityShelf(GRADIENT_SHARE[pattern], curveDistanceM, voiceDistanceM)
  if (band === null) {
    return {
      shelf: null,
      evidence: `From ${curveDistanceM} m to ${voiceDistanceM} m the proximity of a ${pattern} changes by less than half a dB at 100 Hz.`,
    }
  }
  return {
    shelf: {
      frequencyHz: Math.round(band.frequencyHz),
      gainDb: Number(band.gainDb.toFixed(1)),
      q: band.q,
    },
    evidence: `An ideal ${pattern} in a spherical wave, from ${curveDistanceM} m to ${voiceDistanceM} m; real capsules do less, so listen.`,
  }
}

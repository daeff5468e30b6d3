// How long the sound of a take rings on: the decay time of the fastest ends of its sounds. A room adds its own
// decay to every sound, so none can end faster than the room does, whereas a dry voice stops within a few
// hundredths of a second at many consonants. After Ratnam et al. (2003), "Blind estimation of reverberation
// time", J. Acoust. Soc. Am. 114(5), whose estimate is the fast edge of the distribution of decay times, and
// Prego et al. (2015), who find free decays in band energies and fit a decay to each (both from memory).
// Above 3 kHz there are hardly any held notes, and most sounds are noise, which decays evenly.

import { dbFromPower } from '../maths/decibels.ts'
import type { LevelTrack } from './level-track.ts'

/** How a take rings on. */
export interface Reverberation {
  /** Seconds in which the sound from 3 kHz up would fall by 60 dB at the speed of its first 13 dB. */
  readonly earlyDecayS: number
}

/** The early decay is read between these levels under the peak: the first dB belong to the end of the sound itself. */
const FROM_DB = 3
const TO_DB = 13
/** The lower level stays at least this far above the noise, which would slow the decay down. */
const ABOVE_FLOOR_DB = 6
/** A rise above the lowest level so far by more than this is a new sound. */
const MAX_RISE_DB = 3
/** Share of frames, the quietest ones, that the level of the noise is read from. */
const FLOOR_SHARE = 0.03
const FLOOR_SCATTER_DB = 1
/** Faster decays than this quantile are scatter, cuts or gates. */
const FAST_SHARE = 0.2
/** Fewer decays say nothing about a room. */
const MIN_DECAYS = 6

/**
 * Longest early decay of a dry voice (0.33 s at most over 45 voices of Debian packages; rooms with an early decay of
 * 0.5 s read 0.40 s or more).
 */
export const DRY_EARLY_DECAY_S = 0.4

/** null where there are too few sounds that end freely and well above the noise. */
export function reverberation({ highPowers, frameSeconds }: LevelTrack): Reverberation | null {
  const levels = Float64Array.from(highPowers.values(), (power) => dbFromPower(power + 1e-20))
  const heard = levels.filter((_, i) => highPowers.values()[i] > 0).sort()
  if (heard.length === 0) return null
  const noiseDb = heard[Math.floor(FLOOR_SHARE * heard.length)] + FLOOR_SCATTER_DB
  const decays = decayTimes(levels, noiseDb + ABOVE_FLOOR_DB + TO_DB)
  if (decays.length < MIN_DECAYS) return null
  decays.sort((a, b) => a - b)
  const at = FAST_SHARE * (decays.length - 1)
  const below = decays[Math.floor(at)]
  const quantile = below + (at - Math.floor(at)) * (decays[Math.ceil(at)] - below)
  return { earlyDecayS: (quantile * frameSeconds * 60) / (TO_DB - FROM_DB) }
}

/** Frames from `FROM_DB` to `TO_DB` under each local peak of at least `leastPeakDb` that is followed by a free decay. */
function decayTimes(levels: Float64Array, leastPeakDb: number): number[] {
  const times: number[] = []
  for (let i = 1; i < levels.length - 2; i++) {
    const peak = levels[i]
    if (peak < levels[i - 1] || peak <= levels[i + 1] || peak <= leastPeakDb) continue
    let lowest = peak
    let start = -1
    for (let j = i + 1; j < levels.length && levels[j] < Math.min(peak, lowest + MAX_RISE_DB); j++) {
      lowest = Math.min(lowest, levels[j])
      if (start < 0 && levels[j] <= peak - FROM_DB) start = crossing(levels, j, peak - FROM_DB)
      if (levels[j] > peak - TO_DB) continue
      times.push(crossing(levels, j, peak - TO_DB) - start)
      i = j - 1
      break
    }
  }
  return times
}

/** Where between frame `j - 1` and frame `j` the level passes `level` on its way down. */
const crossing = (levels: Float64Array, j: number, level: number): number =>
  j - 1 + (levels[j - 1] - level) / (levels[j - 1] - levels[j])

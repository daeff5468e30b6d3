// The pitch of one take, control frame by control frame: notes and the glides between
// them, scoops, falls, the slide of spoken syllables, vibrato on long notes, slow wander.
import type { Random } from '../maths/random.ts'
import { CONTROL_SECONDS, glideShare, renderTrack, type TrackStep } from './control-track.ts'
import type { Singer } from './performance.ts'
import type { Plan, PlannedSyllable } from './plan-performance.ts'

const VIBRATO_DELAY_SECONDS = 0.3
const VIBRATO_RISE_SECONDS = 0.35
/** Choir singers' vibrato rates differ by this much from note to note (Cuesta et al. 2018). */
const VIBRATO_RATE_SD_HZ = 0.3
/** Time constant of the slow pitch drift. */
const DRIFT_MEMORY_SECONDS = 0.15

/** F0 in Hz at every control frame, also where the voice is silent; without period jitter. */
export function planPitch(plan: Plan, singer: Singer, random: Random, frames: number): Float64Array {
  const { syllables } = plan
  const steps: TrackStep[] = []
  const glideSeconds = singer.glideMs / 1000
  for (let i = 0; i < syllables.length; i++) {
    const syllable = syllables[i]
    const note = syllable.pitchSemitones
    const { vowelStartSeconds: start, vowelEndSeconds: end } = syllable
    if (startsPhrase(syllables, i)) {
      steps.push({
        atSeconds: syllable.consonantStartSeconds - 0.05,
        value: note - singer.scoopSemitones,
        glideSeconds: 0.02,
      })
      steps.push({ atSeconds: start + 0.05, value: note, glideSeconds: 0.13 })
    } else {
      steps.push({ atSeconds: start - glideSeconds * 0.3, value: note, glideSeconds })
    }
    let aim = note
    if (singer.slideSemitones !== 0) {
      aim -= singer.slideSemitones * (0.5 + 0.5 * syllable.stress)
      steps.push({ atSeconds: (start + end) / 2, value: aim, glideSeconds: Math.max(0.03, end - start) })
    }
    if (i + 1 === syllables.length || startsPhrase(syllables, i + 1)) {
      const fallSeconds = Math.min(0.16, end - start)
      steps.push({
        atSeconds: syllable.endSeconds - fallSeconds / 2,
        value: aim - singer.fallSemitones,
        glideSeconds: fallSeconds,
      })
    }
  }
  const semitones = renderTrack(steps.length > 0 ? steps[0].value : 0, steps, frames)
  if (singer.vibratoDepthCents > 0) {
    for (const syllable of syllables) addVibrato(semitones, syllable, singer, random)
  }
  return wander(semitones, singer, random)
}

function startsPhrase(syllables: readonly PlannedSyllable[], i: number): boolean {
  return i === 0 || syllables[i].phraseIndex !== syllables[i - 1].phraseIndex
}

function addVibrato(
  semitones: Float64Array,
  syllable: PlannedSyllable,
  singer: Singer,
  random: Random,
): void {
  const rateHz = singer.vibratoRateHz + VIBRATO_RATE_SD_HZ * random.normal()
  const depth = (singer.vibratoDepthCents / 100) * (0.8 + 0.4 * random.uniform())
  const startSeconds = syllable.vowelStartSeconds + VIBRATO_DELAY_SECONDS
  const endSeconds = syllable.vowelEndSeconds
  const last = Math.min(semitones.length - 1, Math.floor(endSeconds / CONTROL_SECONDS))
  for (let frame = Math.ceil(startSeconds / CONTROL_SECONDS); frame <= last; frame++) {
    const since = frame * CONTROL_SECONDS - startSeconds
    const left = endSeconds - frame * CONTROL_SECONDS
    const swell = glideShare(since / VIBRATO_RISE_SECONDS) * glideShare(left / 0.08)
    semitones[frame] += depth * swell * Math.sin(2 * Math.PI * rateHz * since)
  }
}

function wander(semitones: Float64Array, singer: Singer, random: Random): Float64Array {
  const memory = Math.exp(-CONTROL_SECONDS / DRIFT_MEMORY_SECONDS)
  const push = (singer.driftCents / 100) * Math.sqrt(1 - memory * memory)
  let drift = (singer.driftCents / 100) * random.normal()
  for (let frame = 0; frame < semitones.length; frame++) {
    semitones[frame] = singer.tonicHz * Math.exp(((semitones[frame] + drift) * Math.LN2) / 12)
    drift = memory * drift + push * random.normal()
  }
  return semitones
}

// What lips, tongue and breath do in one take: formants, voicing, breath and tilt as
// tracks, with the glides that make neighbouring sounds run into each other.
import { gainFromDb } from '../maths/decibels.ts'
import { CONSONANTS } from './consonants.ts'
import { renderTrack, type TrackStep } from './control-track.ts'
import type { Singer } from './performance.ts'
import type { Plan, PlannedConsonant, PlannedSyllable } from './plan-performance.ts'
import { type SteadyVowel, VOWEL_FORMANTS_HZ, vowelEnds } from './vowels.ts'

/** One value per control frame in each track. */
export interface Articulation {
  /** F1 to F4. */
  readonly formantsHz: readonly [Float64Array, Float64Array, Float64Array, Float64Array]
  readonly f1BandwidthHz: Float64Array
  readonly nasalZeroHz: Float64Array
  /** Corner above which the voice source falls faster. */
  readonly tiltHz: Float64Array
  /** Amplitude of the pulses; 1 is a vowel at full voice. */
  readonly voicing: Float64Array
  /** Amplitude of breath through the tract, apart from the breathiness of the voice. */
  readonly breath: Float64Array
}

/** Women's tracts are shorter: mean ratio of the vowels' formants, applied to the men's consonant targets. */
const WOMEN_TO_MEN = 1.17
const FORMANT_GLIDE_SECONDS = 0.05
const ATTACK_SECONDS = 0.03
const RELEASE_SECONDS = 0.08
const SONORANT_GLIDE_SECONDS = 0.03
const OBSTRUENT_GLIDE_SECONDS = 0.016
/** Breath of a released stop relative to a whispered vowel. */
const STOP_BREATH = 0.7
/** Voices loosen toward the end of a syllable. */
const SYLLABLE_END_VOICING = 0.75
/**
 * Change of the natural logarithm of the tilt's corner per dB of effort: loud voices are brighter (amount
 * by common practice).
 */
const TILT_PER_DB = 0.06
/** Open vowels damp F1 more: from 70 Hz in "heed" to 120 Hz in "hod" (Klatt 1980, Table II, from memory). */
const NARROWEST_F1_HZ = 30
const F1_BANDWIDTH_SHARE = 0.13
/** Singers open F1 ahead of a fundamental that would pass it (Sundberg 1975, from memory). */
const F1_ABOVE_F0 = 1.03

/** All tracks of a take. */
export function articulate(plan: Plan, singer: Singer, frames: number): Articulation {
  const strokes = new Strokes(singer)
  for (let i = 0; i < plan.syllables.length; i++) {
    const next = plan.syllables[i + 1]
    strokes.addSyllable(
      plan.syllables[i],
      next === undefined || next.consonantStartSeconds > plan.syllables[i].endSeconds + 1e-6,
    )
  }
  return strokes.render(frames)
}

class Strokes {
  readonly #singer: Singer
  readonly #formants: TrackStep[][] = [[], [], [], []]
  readonly #f1Bandwidth: TrackStep[] = []
  readonly #nasalZero: TrackStep[] = []
  readonly #tilt: TrackStep[] = []
  readonly #voicing: TrackStep[] = []
  readonly #breath: TrackStep[] = []
  /** The kind of sound just before the next stroke, which decides how the voice comes in. */
  #before: 'silence' | 'obstruent' | 'sonorant' = 'silence'

  constructor(singer: Singer) {
    this.#singer = singer
  }

  addSyllable(syllable: PlannedSyllable, endsInSilence: boolean): void {
    const { levelDb, vowelStartSeconds, vowelEndSeconds } = syllable
    const level = gainFromDb(levelDb)
    const [from, to] = vowelEnds(syllable.vowel)
    const early = this.#before === 'silence' ? 0.06 : 0
    this.#tilt.push({
      atSeconds: syllable.consonantStartSeconds - early,
      value: Math.log(this.#singer.tiltHz) + TILT_PER_DB * levelDb,
      glideSeconds: 0.06,
    })
    for (const [i, consonant] of syllable.onset.entries()) {
      this.#addConsonant(consonant, syllable, from, level, i === 0 ? early : 0)
    }
    if (syllable.onset.length === 0)
      this.#moveToVowel(vowelStartSeconds - early, from, syllable, FORMANT_GLIDE_SECONDS)
    this.#voice(vowelStartSeconds, level, 'sonorant')
    this.#breath.push({ atSeconds: vowelStartSeconds, value: 0, glideSeconds: 0.02 })
    if (to !== from) {
      const length = vowelEndSeconds - vowelStartSeconds
      this.#moveToVowel(
        vowelStartSeconds + 0.6 * length,
        to,
        syllable,
        Math.max(0.05, Math.min(0.2, 0.6 * length)),
      )
    }
    this.#voicing.push({
      atSeconds: (vowelStartSeconds + vowelEndSeconds) / 2,
      value: level * SYLLABLE_END_VOICING,
      glideSeconds: vowelEndSeconds - vowelStartSeconds,
    })
    for (const consonant of syllable.coda) this.#addConsonant(consonant, syllable, to, level, 0)
    if (endsInSilence) {
      this.#voice(syllable.endSeconds, 0, 'silence')
      this.#breath.push({ atSeconds: syllable.endSeconds + 0.02, value: 0, glideSeconds: 0.05 })
    }
  }

  render(frames: number): Articulation {
    const logTrack = (steps: readonly TrackStep[]) => {
      const track = renderTrack(steps.length > 0 ? steps[0].value : 0, steps, frames)
      for (let frame = 0; frame < frames; frame++) track[frame] = Math.exp(track[frame])
      return track
    }
    const [f1, f2, f3, f4] = this.#formants.map(logTrack)
    return {
      formantsHz: [f1, f2, f3, f4],
      f1BandwidthHz: renderTrack(60, this.#f1Bandwidth, frames),
      nasalZeroHz: renderTrack(270, this.#nasalZero, frames),
      tiltHz: logTrack(this.#tilt),
      voicing: renderTrack(0, this.#voicing, frames),
      breath: renderTrack(0, this.#breath, frames),
    }
  }

  #addConsonant(
    consonant: PlannedConsonant,
    syllable: PlannedSyllable,
    vowel: SteadyVowel,
    level: number,
    earlySeconds: number,
  ): void {
    const spec = CONSONANTS[consonant.symbol]
    const { startSeconds, endSeconds } = consonant
    const formants = spec.formantsHz
    const scale = syllable.formantScale * (this.#singer.tract === 'women' ? WOMEN_TO_MEN : 1)
    if (formants === undefined) {
      this.#moveToVowel(startSeconds - earlySeconds, vowel, syllable, FORMANT_GLIDE_SECONDS)
    } else {
      this.#move(
        startSeconds - earlySeconds,
        formants.map((hz) => hz * scale),
        FORMANT_GLIDE_SECONDS,
      )
    }
    this.#nasalZero.push({ atSeconds: startSeconds, value: spec.nasalZeroHz, glideSeconds: 0.03 })
    // After the move above, because for /h/ that is a move to the vowel and sets the vowel's bandwidth.
    this.#f1Bandwidth.push({ atSeconds: startSeconds, value: spec.f1BandwidthHz, glideSeconds: 0.03 })
    const isSonorant = spec.noise === undefined && spec.voicing > 0
    this.#voice(startSeconds, spec.voicing * level, isSonorant ? 'sonorant' : 'obstruent')
    const parts = spec.closureMs + spec.soundMs + spec.aspirationMs
    const releasedSeconds = endSeconds - ((endSeconds - startSeconds) * spec.aspirationMs) / parts
    if (spec.aspirationMs > 0) {
      this.#breath.push({
        atSeconds: releasedSeconds - 0.004,
        value: STOP_BREATH * level,
        glideSeconds: 0.008,
      })
      this.#breath.push({ atSeconds: endSeconds, value: 0, glideSeconds: 0.02 })
    } else {
      this.#breath.push({ atSeconds: startSeconds, value: spec.breath * level, glideSeconds: 0.025 })
    }
    // The tongue moves on as soon as the burst is over; strokes pushed later override this target.
    this.#moveToVowel(releasedSeconds, vowel, syllable, FORMANT_GLIDE_SECONDS)
    this.#nasalZero.push({ atSeconds: endSeconds, value: 270, glideSeconds: 0.03 })
  }

  #voice(atSeconds: number, value: number, now: 'silence' | 'obstruent' | 'sonorant'): void {
    let glideSeconds = SONORANT_GLIDE_SECONDS
    if (now === 'silence')
      glideSeconds = this.#before === 'sonorant' ? RELEASE_SECONDS : SONORANT_GLIDE_SECONDS
    else if (now === 'obstruent' || this.#before === 'obstruent') glideSeconds = OBSTRUENT_GLIDE_SECONDS
    else if (this.#before === 'silence') glideSeconds = ATTACK_SECONDS
    this.#before = now
    this.#voicing.push({ atSeconds, value, glideSeconds })
  }

  #moveToVowel(atSeconds: number, vowel: SteadyVowel, syllable: PlannedSyllable, glideSeconds: number): void {
    const [f1, f2, f3, f4] = VOWEL_FORMANTS_HZ[this.#singer.tract][vowel]
    const scale = syllable.formantScale
    const f0Hz = this.#singer.tonicHz * 2 ** (syllable.pitchSemitones / 12)
    const openedF1 = Math.max(f1 * scale, F1_ABOVE_F0 * f0Hz)
    const f1BandwidthHz = NARROWEST_F1_HZ + F1_BANDWIDTH_SHARE * openedF1
    this.#f1Bandwidth.push({ atSeconds, value: f1BandwidthHz, glideSeconds })
    this.#move(atSeconds, [openedF1, f2 * scale, f3 * scale, f4 * scale], glideSeconds)
  }

  #move(atSeconds: number, formantsHz: readonly number[], glideSeconds: number): void {
    for (let i = 0; i < 4; i++) {
      this.#formants[i].push({ atSeconds, value: Math.log(formantsHz[i]), glideSeconds })
    }
  }
}

// One take of a sung or rapped part, from score to samples, with the truth about what
// was sung when. Same score, performance, rate and seed: same samples.
import { gainFromDb } from '../maths/decibels.ts'
import { createRandom, type Random } from '../maths/random.ts'
import { type Articulation, articulate } from './articulation.ts'
import { addBreath, addPop } from './breath.ts'
import { CONSONANTS } from './consonants.ts'
import { CONTROL_SECONDS, controlFrames } from './control-track.ts'
import { addNoise, noiseLevelDb } from './frication.ts'
import { type GlottalSource, renderGlottalSource } from './glottal-source.ts'
import type { Performance } from './performance.ts'
import { planPitch } from './pitch.ts'
import { type Plan, type PlannedSyllable, planPerformance } from './plan-performance.ts'
import { addReflections, addRoomNoise } from './room.ts'
import type { Score } from './score.ts'
import { runVocalTract } from './vocal-tract.ts'
import { popMoment, soundingSpan, type VoiceTruth, voiceTruth } from './voice-truth.ts'

interface VoiceOptions {
  /** 32000 Hz or more, so that the fricatives fit. */
  readonly sampleRateHz: number
  /** Any integer. */
  readonly seed: number
}

/** The samples of a take and its ground truth. */
export interface RenderedVoice {
  /** Mono, full scale = 1. */
  readonly samples: Float32Array
  readonly truth: VoiceTruth
}

/** Whispered vowels relative to voiced ones, at the source (our choice). */
const WHISPER_GAIN = 0.22
/** Breaths between phrases relative to the vowels, where a performance says nothing else (common practice). */
const BREATH_LEVEL_DB = -27
/** Share of an effort in dB that breath noises follow. */
const NOISE_EFFORT = 0.7
/** Rounded lips lower the /s/ before them (from memory). */
const ROUNDED_NOISE_SCALE = 0.93
/**
 * Women's fricatives are higher than men's: 6800 against 6122 Hz over all fricatives (Jongman et al. 2000).
 * For /s/ alone no figure was at hand, so the factors differ by less.
 */
const NOISE_SCALE = { men: 0.97, women: 1.02 } as const

/**
 * Renders one take.
 * @throws RangeError for a sample rate under 32000 Hz
 */
export function renderVoice(
  score: Score,
  performance: Performance,
  { sampleRateHz, seed }: VoiceOptions,
): RenderedVoice {
  if (!(sampleRateHz >= 32000)) {
    throw new RangeError(`A voice needs a sample rate of at least 32000 Hz, not ${sampleRateHz}`)
  }
  const { singer, room, breathLevelDb = BREATH_LEVEL_DB } = performance
  // Each part has its own random generator, so that a change in one leaves the others alone.
  const seeds = createRandom(seed)
  const ownRandom = () => createRandom(Math.floor(seeds.uniform() * 4294967296))
  const plan = planPerformance(score, performance, ownRandom())
  const frames = Math.round(plan.seconds * sampleRateHz)
  const controls = controlFrames(plan.seconds)
  const f0Hz = planPitch(plan, singer, ownRandom(), controls)
  const articulation = articulate(plan, singer, controls)
  const source = renderGlottalSource(f0Hz, singer, sampleRateHz, frames, ownRandom())
  excite(source, articulation, gainFromDb(singer.breathinessDb), sampleRateHz, ownRandom())
  const voice = source.pulses
  runVocalTract(voice, articulation, singer.tract, sampleRateHz)
  const vowelRms = rmsOfFullVoice(voice, articulation, sampleRateHz)
  addConsonantNoises(voice, plan, performance, vowelRms, source.openness, sampleRateHz, ownRandom())
  for (const { startSeconds, endSeconds } of plan.breaths) {
    const amplitude = vowelRms * gainFromDb(breathLevelDb + NOISE_EFFORT * performance.effortDb)
    addBreath(
      voice,
      startSeconds,
      endSeconds,
      amplitude,
      NOISE_SCALE[singer.tract],
      sampleRateHz,
      ownRandom(),
    )
  }
  if (room !== undefined) addReflections(voice, room.reflections, sampleRateHz)
  scaleToPeak(voice, gainFromDb(performance.peakDbfs))
  if (room !== undefined) addRoomNoise(voice, room.noiseFloorDbfs, ownRandom())
  return { samples: Float32Array.from(voice), truth: voiceTruth(plan, f0Hz, articulation.voicing, singer) }
}

/** Fades and darkens the pulses, and adds the breath that passes the folds, in place. */
function excite(
  { pulses, openness }: GlottalSource,
  { voicing, breath, tiltHz }: Articulation,
  breathiness: number,
  sampleRateHz: number,
  random: Random,
): void {
  const perControl = sampleRateHz * CONTROL_SECONDS
  const white = Math.sqrt(12)
  let dark = 0
  for (let frame = 0, start = 0; start < pulses.length; frame++) {
    const end = Math.min(pulses.length, Math.ceil((frame + 1) * perControl))
    const pass = 1 - Math.exp((-2 * Math.PI * tiltHz[frame]) / sampleRateHz)
    let amplitude = voicing[frame]
    let whisper = breath[frame]
    const amplitudeStep = (voicing[frame + 1] - amplitude) / (end - start)
    const whisperStep = (breath[frame + 1] - whisper) / (end - start)
    for (let n = start; n < end; n++) {
      dark += pass * (pulses[n] * amplitude - dark)
      const air = WHISPER_GAIN * whisper + breathiness * amplitude * (0.4 + 1.2 * openness[n])
      pulses[n] = dark + air * white * (random.uniform() - 0.5)
      amplitude += amplitudeStep
      whisper += whisperStep
    }
    start = end
  }
}

/** RMS that the vowels would have at full voice: each moment is weighted by its voicing. */
function rmsOfFullVoice(voice: Float64Array, { voicing }: Articulation, sampleRateHz: number): number {
  const perControl = sampleRateHz * CONTROL_SECONDS
  let power = 0
  let weight = 0
  for (let n = 0; n < voice.length; n++) {
    const amplitude = voicing[Math.floor(n / perControl)]
    power += voice[n] * voice[n]
    weight += amplitude * amplitude
  }
  return weight > 0 ? Math.sqrt(power / weight) : 0
}

function addConsonantNoises(
  out: Float64Array,
  plan: Plan,
  performance: Performance,
  vowelRms: number,
  openness: Float32Array,
  sampleRateHz: number,
  random: Random,
): void {
  for (const syllable of plan.syllables) {
    for (const consonant of [...syllable.onset, ...syllable.coda]) {
      const { noise } = CONSONANTS[consonant.symbol]
      if (noise === undefined) continue
      const { startSeconds, endSeconds } = soundingSpan(consonant)
      const amplitude = vowelRms * gainFromDb(noiseLevelDb(noise) + NOISE_EFFORT * syllable.levelDb)
      const frequencyScale =
        NOISE_SCALE[performance.singer.tract] *
        (isRounded(syllable) ? ROUNDED_NOISE_SCALE : 1) *
        (syllable.formantScale / performance.singer.formantScale)
      addNoise(
        out,
        { kind: noise, startSeconds, endSeconds, amplitude, frequencyScale },
        openness,
        sampleRateHz,
        random,
      )
      if (noise === 'p') {
        const peak = vowelRms * gainFromDb(performance.popLevelDb + syllable.levelDb)
        addPop(out, popMoment(consonant), peak, sampleRateHz)
      }
    }
  }
}

function isRounded({ vowel }: PlannedSyllable): boolean {
  return vowel === 'UW' || vowel === 'OW' || vowel === 'UH' || vowel === 'AO' || vowel === 'OY'
}

function scaleToPeak(samples: Float64Array, peak: number): void {
  let highest = 0
  for (let n = 0; n < samples.length; n++) highest = Math.max(highest, Math.abs(samples[n]))
  if (highest === 0) return
  const gain = peak / highest
  for (let n = 0; n < samples.length; n++) samples[n] *= gain
}

// Analyses the voice in a take: long-term spectra, pitch range, sibilance,
// resonances, balance. One pass over the sound, with memory use that grows slowly.

import { createMonoFeed } from '../check/mono-feed.ts'
import { dbFromPower } from '../maths/decibels.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { createLevellingProbe, type Levelling } from './levelling.ts'
import { type Fundamental, fundamentalOf } from './pitch/fundamental.ts'
import { createPitchFinder } from './pitch/pitch-finder.ts'
import { findResonances, type Resonance } from './pitch/resonances.ts'
import { createShortFrames } from './sibilance/sibilance.ts'
import { type Sibilance, sibilanceOf } from './sibilance/sibilance-facts.ts'
import { createEnvelopeHistory } from './spectra/envelope-history.ts'
import { createFrameSpectrum } from './spectra/frame-spectrum.ts'
import { createFramer } from './spectra/framer.ts'
import { type BandLevels, createLongTermSpectrum, longFramePoints } from './spectra/long-term-spectrum.ts'
import { createNoiseSpectrum, type NoiseFloor } from './spectra/noise-spectrum.ts'
import { type VoiceBands, voiceBandsOf } from './spectra/voice-bands.ts'
import { createVoiceEnvelope } from './voice-envelope.ts'

/** With less voice than this, pitch range and spectrum are not reliable (our choice). */
const MIN_VOICE_SECONDS = 10

/** A take with enough voice. Levels are RMS, dBFS; a full-scale sine reads -3.01. */
export interface VoiceAnalysed {
  readonly outcome: 'analysed'
  /** Singing, without pauses and breaths. */
  readonly activeSeconds: number
  readonly fundamental: Fundamental
  /** Mean over the voiced frames. */
  readonly spectrum: { readonly levelsDbfs: BandLevels; readonly frames: number; readonly seconds: number }
  /** RMS level of that whole spectrum. */
  readonly voiceLevelDbfs: number
  /** Percentiles of the RMS level of 11 ms during singing: 10 % are below the first, 5 % above the second. */
  readonly quietLevelDbfs: number
  readonly loudLevelDbfs: number
  /** null without pauses, or if they are digital silence. */
  readonly noise: NoiseFloor | null
  readonly sibilance: Sibilance
  /** Voiced frames without harmonics: point i at 100 * 2^(i/24) Hz, dB; only the shape is meaningful. */
  readonly envelopeDb: readonly number[]
  /** Includes steady formants; only a comparison with earlier takes shows what is not the voice's own. */
  readonly resonances: readonly Resonance[]
  readonly bands: VoiceBands
  /** Missing in takes that were analysed before it was measured. */
  readonly levelling?: Levelling | undefined
}

interface NotEnoughVoice {
  readonly outcome: 'not-enough-material'
  /**
   * silent: no sound. too-short: less than `neededSeconds` of voice. unpitched: too little of it
   * has the pitch of a single voice. unclear: no stretch is long and clear enough to measure.
   */
  readonly why: 'silent' | 'too-short' | 'unpitched' | 'unclear'
  readonly takeSeconds: number
  readonly activeSeconds: number
  readonly voicedSeconds: number
  readonly neededSeconds: number
}

/** The analysis of one take, or why there is none. */
export type VoiceAnalysis = VoiceAnalysed | NotEnoughVoice

interface VoiceAnalyser {
  /** @param frames frames to read from every channel, finite values only; two channels are averaged */
  add(channels: Channels, frames: number): void
  finish(): VoiceAnalysis
}

/** Voiced frames this far below the loud ones are excluded from the spectrum: reverberation and bleed. */
const VOICED_RANGE_DB = 30
/** If a smaller share of the active time is voiced, the take is not a solo voice. */
const MIN_VOICED_SHARE = 0.25

/** @param layout one or two channels, 8 kHz or more */
export function createVoiceAnalysis(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): VoiceAnalyser {
  const { sampleRateHz } = layout
  const points = longFramePoints(sampleRateHz)
  const hopSeconds = points / 2 / sampleRateHz
  const mono = createMonoFeed(layout)
  const block = new Float64Array(BLOCK_FRAMES)
  const pitch = createPitchFinder(sampleRateHz)
  const short = createShortFrames(sampleRateHz)
  const levelling = createLevellingProbe(sampleRateHz)
  const framer = createFramer(points, points / 2)
  const spectrum = createFrameSpectrum(points, sampleRateHz)
  const voiced = createLongTermSpectrum(sampleRateHz)
  const noise = createNoiseSpectrum(sampleRateHz, hopSeconds)
  const envelope = createVoiceEnvelope(points, sampleRateHz)
  const envelopePowers = new Float64Array(envelope.frequenciesHz.length)
  const history = createEnvelopeHistory(envelopePowers.length)
  let frames = 0
  let voicedFrames = 0

  function takeFrame(frame: Float64Array, startSample: number): void {
    spectrum.measure(frame)
    noise.take(frame, spectrum)
    const startSeconds = startSample / sampleRateHz
    const pitchHz = pitch.pitchBetween(startSeconds + hopSeconds / 2, startSeconds + 1.5 * hopSeconds)
    if (pitchHz === 0) return
    voiced.take(spectrum)
    voicedFrames++
    // Only every other frame, since neighbours overlap by half.
    if (voicedFrames % 2 === 0) return
    envelope.measure(spectrum, pitchHz, envelopePowers)
    history.add(startSeconds + hopSeconds, envelopePowers, spectrum.bandPower(0, sampleRateHz))
  }

  return {
    add(channels, count) {
      for (let read = 0; read < count; ) {
        const take = Math.min(BLOCK_FRAMES, count - read)
        mono.read(channels, read, take, block, 0)
        pitch.add(block, take)
        short.add(block, take)
        levelling.add(block, take)
        framer.add(block, take, takeFrame)
        read += take
      }
      frames += count
    },
    finish() {
      const { sibilants, binHz, vowelRatioP95Db, activeSeconds, quietDbfs, loudDbfs } = short.finish()
      const fundamental = fundamentalOf(pitch.track())
      const gateDbfs = (voiced.levelAtShareDbfs(0.95) ?? 0) - VOICED_RANGE_DB
      const mean = voiced.between(gateDbfs, Number.POSITIVE_INFINITY)
      const voicedSeconds = fundamental?.voicedSeconds ?? 0
      const why = whyNotEnough(activeSeconds, voicedSeconds)
      if (why !== null || fundamental === null || mean === null || quietDbfs === null || loudDbfs === null) {
        return {
          outcome: 'not-enough-material',
          why: why ?? 'unclear',
          takeSeconds: frames / sampleRateHz,
          activeSeconds,
          voicedSeconds,
          neededSeconds: MIN_VOICE_SECONDS,
        }
      }
      const { meanDb, secondsDb } = history.finish(10 ** (gateDbfs / 10))
      return {
        outcome: 'analysed',
        activeSeconds,
        fundamental,
        spectrum: { levelsDbfs: mean.levelsDbfs, frames: mean.frames, seconds: mean.frames * hopSeconds },
        voiceLevelDbfs: levelOf(mean.levelsDbfs),
        quietLevelDbfs: quietDbfs,
        loudLevelDbfs: loudDbfs,
        noise: noise.floor(),
        sibilance: sibilanceOf(sibilants, binHz, vowelRatioP95Db),
        envelopeDb: meanDb,
        resonances: findResonances(meanDb, secondsDb, fundamental),
        bands: voiceBandsOf(mean.levelsDbfs),
        levelling: levelling.finish(loudDbfs, quietDbfs) ?? undefined,
      }
    },
  }
}

function whyNotEnough(activeSeconds: number, voicedSeconds: number): NotEnoughVoice['why'] | null {
  if (activeSeconds === 0) return 'silent'
  if (activeSeconds < MIN_VOICE_SECONDS) return 'too-short'
  return voicedSeconds < MIN_VOICED_SHARE * activeSeconds ? 'unpitched' : null
}

function levelOf(levelsDbfs: BandLevels): number {
  let sum = 0
  for (const levelDbfs of levelsDbfs) if (levelDbfs !== null) sum += 10 ** (levelDbfs / 10)
  return dbFromPower(sum)
}

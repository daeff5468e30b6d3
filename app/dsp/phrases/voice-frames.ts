// One pass over a take for everything that its phrases are found and known by: levels and kinds per 10 ms, mel bands per
// 20 ms, and K-weighted energy for the loudness of phrases.

import { createFrameSpectrum } from '../analysis/spectra/frame-spectrum.ts'
import { createFramer } from '../analysis/spectra/framer.ts'
import { melSteps } from '../analysis/spectra/mel.ts'
import { createLevelTrack, type LevelTrack } from '../check/level-track.ts'
import { createMonoFeed } from '../check/mono-feed.ts'
import { createOctaveBank } from '../check/octave-bank.ts'
import { createPopSearch } from '../check/pops.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import { pointsAtRate } from '../maths/points-at-rate.ts'
import type { Span } from '../maths/span.ts'
import { createKWeightedEnergy } from '../meters/k-weighting.ts'
import { loudnessChannelWeights } from '../meters/loudness.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { createFrameKinds } from './frame-kinds.ts'

export const MEL_BANDS = 26
/** Mel bands are taken of every second frame, every 20 ms. */
export const FRAMES_PER_MEL = 2
const MEL_FROM_HZ = 80
const POINTS_AT_48K = 2048

/** What one pass over a take has measured. Frame i of about 10 ms begins at i * frameSeconds. */
export interface VoiceFrames {
  readonly track: LevelTrack
  readonly seconds: number
  readonly sampleRateHz: number
  /** Per frame: see frame-kinds.ts; 1 where the frame is bright. */
  readonly periodicity: Float64Array
  readonly flatnessDb: Float64Array
  readonly bright: Float64Array
  /** MEL_BANDS mean squares for every second frame. */
  readonly mel: Float64Array
  /** K-weighted energy per frame, summed over channels (BS.1770), and the audio frames of each. */
  readonly kEnergies: Float64Array
  readonly frameFrames: number
  /** Power that comes and goes with the sound below 80 Hz over that of a voice's band, dB; null where nothing sounds. */
  lowAgainstVoiceDb(sounding: readonly Span[]): number | null
}

interface VoiceFramesMeter {
  /** @param frames any number; finite values only */
  add(channels: Channels, frames: number): void
  finish(): VoiceFrames
}

/** Highest frequency of the mel bands for takes of these rates, so that all of them have every band. */
export const melTopHz = (sampleRatesHz: readonly number[]): number =>
  Math.min(8000, ...sampleRatesHz.map((rate) => 0.45 * rate))

/** Edges in Hz of MEL_BANDS bands that overlap by half: band b reaches from edge b to edge b + 2. */
export const melEdges = (topHz: number): Float64Array => melSteps(MEL_FROM_HZ, topHz, MEL_BANDS + 2)

/** @param layout one or two channels, 8 kHz or more @param topHz of the mel bands, from melTopHz */
export function createVoiceFrames(
  layout: { readonly sampleRateHz: number; readonly channels: number },
  topHz: number,
): VoiceFramesMeter {
  const { sampleRateHz, channels: channelCount } = layout
  const track = createLevelTrack(sampleRateHz)
  const frameFrames = Math.round(track.frameSeconds * sampleRateHz)
  const mono = createMonoFeed(layout)
  // The level track reads two samples before its block; the bank takes whole blocks.
  const held = new Float64Array(2 + BLOCK_FRAMES)
  const bank = createOctaveBank(sampleRateHz, BLOCK_FRAMES)
  const pops = createPopSearch(bank.low.rateHz, bank.low.delayFrames / sampleRateHz)
  const spectrum = createFrameSpectrum(pointsAtRate(POINTS_AT_48K, sampleRateHz), sampleRateHz)
  const kinds = createFrameKinds(spectrum)
  const framer = createFramer(spectrum.points, frameFrames)
  const energy = createKWeightedEnergy(sampleRateHz, loudnessChannelWeights(channelCount))
  const edges = melEdges(topHz)
  const periodicity = new GrowingDoubles()
  const flatness = new GrowingDoubles()
  const bright = new GrowingDoubles()
  const mel = new GrowingDoubles()
  const kEnergies = new GrowingDoubles()
  let openEnergy = 0
  let leftInFrame = frameFrames
  let filled = 0
  let frames = 0

  function takeFrame(frame: Float64Array): void {
    spectrum.measure(frame)
    if (periodicity.length % FRAMES_PER_MEL === 0) {
      for (let b = 0; b < MEL_BANDS; b++) mel.push(spectrum.bandPower(edges[b], edges[b + 2]))
    }
    periodicity.push(kinds.periodicity())
    flatness.push(kinds.flatnessDb())
    bright.push(kinds.isBright() ? 1 : 0)
  }

  function addEnergy(channels: Channels, count: number): void {
    for (let at = 0; at < count; ) {
      const step = Math.min(count - at, leftInFrame)
      openEnergy += energy.add(channels, at, at + step)
      at += step
      leftInFrame -= step
      if (leftInFrame > 0) continue
      kEnergies.push(openEnergy)
      openEnergy = 0
      leftInFrame = frameFrames
    }
  }

  const noCorner = (): void => {}
  const block = held.subarray(2)
  // Half a window of silence ahead puts the middle of the first window on the middle of the first frame.
  framer.add(
    new Float64Array((spectrum.points - frameFrames) >> 1),
    (spectrum.points - frameFrames) >> 1,
    takeFrame,
  )

  function takeBlock(count: number): void {
    track.add(held, 2, count, noCorner)
    framer.add(block, count, takeFrame)
    bank.add(held, 2)
    pops.add(bank.low.samples, bank.low.from, BLOCK_FRAMES / bank.low.factor)
    held.copyWithin(0, BLOCK_FRAMES)
    filled = 0
  }

  return {
    add(channels, count) {
      addEnergy(channels, count)
      for (let read = 0; read < count; ) {
        const take = Math.min(count - read, BLOCK_FRAMES - filled)
        mono.read(channels, read, take, held, 2 + filled)
        read += take
        filled += take
        if (filled === BLOCK_FRAMES) takeBlock(BLOCK_FRAMES)
      }
      frames += count
    },
    finish() {
      held.fill(0, 2 + filled)
      takeBlock(filled)
      framer.add(new Float64Array(spectrum.points), spectrum.points, takeFrame)
      return {
        track,
        seconds: frames / sampleRateHz,
        sampleRateHz,
        periodicity: periodicity.values(),
        flatnessDb: flatness.values(),
        bright: bright.values(),
        mel: mel.values(),
        kEnergies: kEnergies.values(),
        frameFrames,
        lowAgainstVoiceDb: (sounding) => pops.lowAgainstVoiceDb(sounding),
      }
    },
  }
}

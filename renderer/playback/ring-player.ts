// What the audio thread does with the ring: reads it, blends dry and processed at
// matched loudness, sets the listening level, fades in and out so that neither start,
// stop nor an empty ring clicks, and keeps the ceiling. No allocation once it runs.

import { createCeilingGuard } from './ceiling-guard.ts'
import { framesAhead, GAIN, type Ring, WORD } from './ring.ts'

/** Gains settle to within 4 % in 40 ms: one-pole smoothing per sample, so that they never jump. */
const SETTLE_TIME_CONSTANT_SECONDS = 0.0125
/** Fade at start, stop and where the ring runs dry. Common practice. */
const FADE_SECONDS = 0.01
/** After it ran dry it waits for this much before it sounds again. */
const REFILL_SECONDS = 0.06

export interface RingPlayer {
  /**
   * Fills one block, of any length.
   * @returns how many frames of the ring it used; they begin at the read position from before the call
   */
  process(left: Float32Array, right: Float32Array): number
}

export function createRingPlayer(ring: Ring, sampleRateHz: number): RingPlayer {
  const { words, gains, frames: ringFrames } = ring
  const [dryLeft, dryRight, processedLeft, processedRight] = ring.planes
  const mask = ringFrames - 1
  const pace = 1 - Math.exp(-1 / (SETTLE_TIME_CONSTANT_SECONDS * sampleRateHz))
  const fadeFrames = Math.round(FADE_SECONDS * sampleRateHz)
  const refillFrames = Math.round(REFILL_SECONDS * sampleRateHz)
  const guard = createCeilingGuard(sampleRateHz)

  /** 0 silent to fadeFrames fully there. */
  let presence = 0
  let isDry = false
  let level = gains[GAIN.level]
  let mix = gains[GAIN.mix]
  let matchDry = gains[GAIN.matchDry]
  let matchProcessed = gains[GAIN.matchProcessed]

  return {
    process(left, right) {
      const frames = left.length
      const ahead = framesAhead(ring)
      const isRunning = Atomics.load(words, WORD.running) === 1
      const hasEnded = Atomics.load(words, WORD.ended) === 1
      // The fade-out has to begin while the ring still holds as much as it takes.
      const isShort = ahead < frames + fadeFrames
      if (isDry) {
        if (hasEnded || (presence === 0 && ahead >= refillFrames + frames + fadeFrames)) isDry = false
      } else if (presence > 0 && isShort && isRunning && !hasEnded) {
        isDry = true
        Atomics.add(words, WORD.underruns, 1)
      }
      const rises = isRunning && !isShort && !isDry
      if (presence === 0 && !rises) {
        left.fill(0)
        right.fill(0)
        if (!isRunning || hasEnded) {
          isDry = false
          Atomics.store(words, WORD.sounding, 0)
          // At rest there is nothing to smooth: the next start has its own fade.
          level = gains[GAIN.level]
          mix = gains[GAIN.mix]
          matchDry = gains[GAIN.matchDry]
          matchProcessed = gains[GAIN.matchProcessed]
        }
        return 0
      }
      if (rises) Atomics.store(words, WORD.sounding, 1)

      const levelAim = gains[GAIN.level]
      const mixAim = gains[GAIN.mix]
      const matchDryAim = gains[GAIN.matchDry]
      const matchProcessedAim = gains[GAIN.matchProcessed]
      const read = Atomics.load(words, WORD.read)
      const count = Math.min(frames, ahead)
      for (let i = 0; i < count; i++) {
        if (rises) {
          if (presence < fadeFrames) presence++
        } else if (presence > 0) presence--
        level += pace * (levelAim - level)
        mix += pace * (mixAim - mix)
        matchDry += pace * (matchDryAim - matchDry)
        matchProcessed += pace * (matchProcessedAim - matchProcessed)
        const place = (read + i) & mask
        const gain = level * (presence / fadeFrames)
        const dryGain = gain * matchDry * (1 - mix)
        const processedGain = gain * matchProcessed * mix
        left[i] = dryGain * dryLeft[place] + processedGain * processedLeft[place]
        right[i] = dryGain * dryRight[place] + processedGain * processedRight[place]
      }
      for (let i = count; i < frames; i++) {
        left[i] = 0
        right[i] = 0
      }
      // What is left of the approach is far below hearing; being there exactly keeps 0 dB bit-true.
      if (Math.abs(levelAim - level) < 1e-6) level = levelAim
      if (Math.abs(mixAim - mix) < 1e-6) mix = mixAim
      if (Math.abs(matchDryAim - matchDry) < 1e-6) matchDry = matchDryAim
      if (Math.abs(matchProcessedAim - matchProcessed) < 1e-6) matchProcessed = matchProcessedAim
      guard.process(left, right)
      Atomics.store(words, WORD.read, (read + count) | 0)
      return count
    },
  }
}

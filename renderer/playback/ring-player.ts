// The audio thread's side of the ring: reads it, mixes dry and processed at matched loudness,
// applies the listening level and the ceiling, and fades at start, stop and underruns to avoid
// clicks. It does not allocate while it runs.

import { createCeilingGuard } from './ceiling-guard.ts'
import { framesAhead, GAIN, type Ring, WORD } from './ring.ts'

/** Per-sample one-pole smoothing of the gains: after 40 ms, 4 % of a change remains. */
const SETTLE_TIME_CONSTANT_SECONDS = 0.0125
/** Fade at start, stop and underruns. Common practice. */
const FADE_SECONDS = 0.01
/** After an underrun, playback resumes only once at least this much is buffered. */
const REFILL_SECONDS = 0.06

/** Plays a ring, block by block. */
export interface RingPlayer {
  /**
   * Fills one block of any length.
   * @returns the number of frames read from the ring, starting at the read position before the call
   */
  process(left: Float32Array, right: Float32Array): number
}

/** @param sampleRateHz of the audio context */
export function createRingPlayer(ring: Ring, sampleRateHz: number): RingPlayer {
  const { words, gains, frames: ringFrames } = ring
  const [dryLeft, dryRight, processedLeft, processedRight] = ring.planes
  const mask = ringFrames - 1
  const pace = 1 - Math.exp(-1 / (SETTLE_TIME_CONSTANT_SECONDS * sampleRateHz))
  const fadeFrames = Math.round(FADE_SECONDS * sampleRateHz)
  const refillFrames = Math.round(REFILL_SECONDS * sampleRateHz)
  const guard = createCeilingGuard(sampleRateHz)

  /** Position in the fade: 0 is silent, fadeFrames is full level. */
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
      // A fade-out has to start while there are still enough frames in the ring for it.
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
          // Gains can jump here, because the next start fades in.
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
      // The remaining difference is inaudible; the exact value makes 0 dB bit-transparent.
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

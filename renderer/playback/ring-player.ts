// The audio thread's side of the ring: reads it, mixes dry and processed at matched loudness or subtracts
// them, folds to mono if asked, applies the listening level and the ceiling, and fades at start, stop and
// underruns to avoid clicks. The meter reads the chosen side before match and level, so that its figures are
// those of a bounce; of the difference it reads what is left after the match. Nothing here allocates while it runs.

import { createCeilingGuard } from './ceiling-guard.ts'
import { createLiveMeter } from './live-meter.ts'
import { framesAhead, GAIN, type Ring, WORD } from './ring.ts'

/** Per-sample one-pole smoothing of the gains: after 40 ms, 4 % of a change remains. */
const SETTLE_TIME_CONSTANT_SECONDS = 0.0125
/** Fade at start, stop and underruns. Common practice. */
const FADE_SECONDS = 0.01
/** After an underrun, playback resumes only once at least this much is buffered. */
const REFILL_SECONDS = 0.06

/** The listening level never rises faster, whoever raises it. Common practice for monitor controls. */
const LEVEL_RISE_DB_PER_SECOND = 10
/** A level rising from silence starts at -60 dB. */
const LOWEST_RISING_LEVEL = 1e-3
/** Frames that are metered at once; a longer block is metered in pieces. */
const METERED_FRAMES = 128

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
  const { words, gains, meters, frames: ringFrames } = ring
  const [dryLeft, dryRight, processedLeft, processedRight] = ring.planes
  const mask = ringFrames - 1
  const pace = 1 - Math.exp(-1 / (SETTLE_TIME_CONSTANT_SECONDS * sampleRateHz))
  const fadeFrames = Math.round(FADE_SECONDS * sampleRateHz)
  const refillFrames = Math.round(REFILL_SECONDS * sampleRateHz)
  const guard = createCeilingGuard(sampleRateHz)
  const rise = 10 ** (LEVEL_RISE_DB_PER_SECOND / 20 / sampleRateHz)
  const meter = createLiveMeter(sampleRateHz)
  const metered = [new Float32Array(METERED_FRAMES), new Float32Array(METERED_FRAMES)]

  /** Position in the fade: 0 is silent, fadeFrames is full level. */
  let presence = 0
  let isDry = false
  let hasSounded = false
  let level = gains[GAIN.level]
  let mix = gains[GAIN.mix]
  let matchDry = gains[GAIN.matchDry]
  let matchProcessed = gains[GAIN.matchProcessed]
  let mono = gains[GAIN.mono]
  let change = gains[GAIN.change]
  let changeLift = gains[GAIN.changeLift]

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
          // Gains can jump here, because the next start fades in. Not the level upwards: after a stop it rises
          // from where it was last heard.
          level = hasSounded ? Math.min(level, gains[GAIN.level]) : gains[GAIN.level]
          mono = gains[GAIN.mono]
          mix = gains[GAIN.mix]
          matchDry = gains[GAIN.matchDry]
          matchProcessed = gains[GAIN.matchProcessed]
          change = gains[GAIN.change]
          changeLift = gains[GAIN.changeLift]
        }
        return 0
      }
      if (rises) {
        if (Atomics.load(words, WORD.sounding) === 0) meter.reset(meters)
        Atomics.store(words, WORD.sounding, 1)
        hasSounded = true
      }

      const levelAim = gains[GAIN.level]
      const mixAim = gains[GAIN.mix]
      const matchDryAim = gains[GAIN.matchDry]
      const matchProcessedAim = gains[GAIN.matchProcessed]
      const monoAim = gains[GAIN.mono]
      const changeAim = gains[GAIN.change]
      const changeLiftAim = gains[GAIN.changeLift]
      const read = Atomics.load(words, WORD.read)
      const count = Math.min(frames, ahead)
      for (let i = 0; i < count; i++) {
        if (rises) {
          if (presence < fadeFrames) presence++
        } else if (presence > 0) presence--
        const nextLevel = level + pace * (levelAim - level)
        level =
          nextLevel > level ? Math.min(nextLevel, Math.max(level, LOWEST_RISING_LEVEL) * rise) : nextLevel
        mono += pace * (monoAim - mono)
        mix += pace * (mixAim - mix)
        matchDry += pace * (matchDryAim - matchDry)
        matchProcessed += pace * (matchProcessedAim - matchProcessed)
        change += pace * (changeAim - change)
        changeLift += pace * (changeLiftAim - changeLift)
        const place = (read + i) & mask
        const gain = level * (presence / fadeFrames)
        const dryGain = gain * matchDry * ((1 - change) * (1 - mix) - change * changeLift)
        const processedGain = gain * matchProcessed * ((1 - change) * mix + change * changeLift)
        const l = dryGain * dryLeft[place] + processedGain * processedLeft[place]
        const r = dryGain * dryRight[place] + processedGain * processedRight[place]
        left[i] = l + mono * 0.5 * (r - l)
        right[i] = r + mono * 0.5 * (l - r)
        const meteredDry = (1 - change) * (1 - mix) - change * matchDry
        const meteredProcessed = (1 - change) * mix + change * matchProcessed
        const meterLeft = meteredDry * dryLeft[place] + meteredProcessed * processedLeft[place]
        const meterRight = meteredDry * dryRight[place] + meteredProcessed * processedRight[place]
        const slot = i % METERED_FRAMES
        metered[0][slot] = meterLeft + mono * 0.5 * (meterRight - meterLeft)
        metered[1][slot] = meterRight + mono * 0.5 * (meterLeft - meterRight)
        if (slot === METERED_FRAMES - 1) meter.add(metered[0], metered[1], METERED_FRAMES, meters)
      }
      meter.add(metered[0], metered[1], count % METERED_FRAMES, meters)
      for (let i = count; i < frames; i++) {
        left[i] = 0
        right[i] = 0
      }
      // The remaining difference is inaudible; the exact value makes 0 dB bit-transparent.
      if (Math.abs(levelAim - level) < 1e-6) level = levelAim
      if (Math.abs(mixAim - mix) < 1e-6) mix = mixAim
      if (Math.abs(monoAim - mono) < 1e-6) mono = monoAim
      if (Math.abs(changeAim - change) < 1e-6) change = changeAim
      if (Math.abs(changeLiftAim - changeLift) < 1e-6) changeLift = changeLiftAim
      if (Math.abs(matchDryAim - matchDry) < 1e-6) matchDry = matchDryAim
      if (Math.abs(matchProcessedAim - matchProcessed) < 1e-6) matchProcessed = matchProcessedAim
      guard.process(left, right)
      Atomics.store(words, WORD.read, (read + count) | 0)
      return count
    },
  }
}

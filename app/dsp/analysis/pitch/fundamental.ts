// The pitch range of a voice: percentiles of its F0, excluding octave errors.

import { PITCH_HOP_SECONDS } from './pitch-finder.ts'
import type { PitchTrack } from './pitch-track.ts'

/** The pitch range of a take. */
export interface Fundamental {
  /** 5 % of the voiced time is below this pitch, octave errors excluded. */
  readonly p5Hz: number
  readonly medianHz: number
  readonly p95Hz: number
  readonly interquartileSemitones: number
  readonly voicedSeconds: number
  /** Share of the voiced frames that were dropped as octave errors. */
  readonly octaveErrorPercent: number
}

/** Frames this far below the 95th percentile of the level are ignored: hum and bleed have pitch too. */
const QUIETEST_DB = 35
/** Frames an octave off the most frequent pitch are errors if fewer than this (ours, generated voices). */
const STRAY_SHARE = 0.02
const OCTAVE_REACH_SEMITONES = 1.5
const SEMITONES_FROM_HZ = 55
const SEMITONES = 60

/** Percentiles of the F0 over the voiced frames; null if no frame has pitch. */
export function fundamentalOf({ hz, powers }: PitchTrack): Fundamental | null {
  if (hz.length === 0) return null
  const loud = powers.toSorted()[Math.floor(0.95 * (powers.length - 1))]
  const gate = loud * 10 ** (-QUIETEST_DB / 10)
  const semitones: number[] = []
  for (let i = 0; i < hz.length; i++) {
    if (powers[i] >= gate) semitones.push(12 * Math.log2(hz[i] / SEMITONES_FROM_HZ))
  }
  const kept = withoutStrayOctaves(semitones).sort((a, b) => a - b)
  const at = (share: number): number => kept[Math.floor(share * (kept.length - 1))]
  const hzAt = (share: number): number => SEMITONES_FROM_HZ * 2 ** (at(share) / 12)
  return {
    p5Hz: hzAt(0.05),
    medianHz: hzAt(0.5),
    p95Hz: hzAt(0.95),
    interquartileSemitones: at(0.75) - at(0.25),
    voicedSeconds: semitones.length * PITCH_HOP_SECONDS,
    octaveErrorPercent: 100 * (1 - kept.length / semitones.length),
  }
}

function withoutStrayOctaves(semitones: readonly number[]): number[] {
  const counts = new Float64Array(SEMITONES)
  for (const one of semitones) counts[Math.min(SEMITONES - 1, Math.max(0, Math.round(one)))]++
  const mode = counts.indexOf(Math.max(...counts))
  let kept = [...semitones]
  for (const octave of [-12, 12]) {
    const isStray = (one: number): boolean => Math.abs(one - mode - octave) <= OCTAVE_REACH_SEMITONES
    const strays = kept.filter(isStray).length
    if (strays < STRAY_SHARE * semitones.length) kept = kept.filter((one) => !isStray(one))
  }
  return kept
}

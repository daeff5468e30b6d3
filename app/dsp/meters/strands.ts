// The six strands of a voice: its levels as rumble, mud, body, edge, sibilance and
// air. Frames overlap by half under a sine window, whose squares add up to one, so the
// strands' powers add up to the power of the signal.

import { dbFromPower } from '../maths/decibels.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import { pointsAtRate } from '../maths/points-at-rate.ts'
import type { Channels } from '../stage.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'
import { BLOCKS_PER_SECOND } from './equal-loudness.ts'
import { createThirdLevels, SONG_BANDS } from './song/third-levels.ts'

/** Names of the strands from low to high. */
export const STRAND_NAMES = ['rumble', 'mud', 'body', 'edge', 'sibilance', 'air'] as const
/** Upper edges of all strands but the last, Hz. */
const STRAND_EDGES_HZ = [150, 400, 1500, 5000, 10000] as const

const STRANDS = STRAND_NAMES.length
/** A count and a power per strand. */
const BLOCK_FIELDS = 1 + STRANDS
const FRAME_POINTS_AT_48K = 2048
// Frames count when they are above -70 dBFS and within 20 dB of the mean of those: the
// gates of EBU Tech 3342 section 3.1, wide enough to keep a lone /s/ (common practice here).
const ABSOLUTE_GATE_DBFS = -70
const RELATIVE_GATE_DB = -20
// Frames are summed in classes of level, so that the gates need no more memory for hours than for seconds.
const CLASS_DB = 0.25
const CLASSES = 400

/** Frames from the start of one spectrum to the next: 1024 at 44.1 and 48 kHz, the same time at other rates. */
export const strandHop = (sampleRateHz: number): number => pointsAtRate(FRAME_POINTS_AT_48K / 2, sampleRateHz)

interface StrandMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /**
   * Level of each strand in the active frames so far: RMS in dBFS, mean of the
   * channels, a full-scale sine reading -3.01. null: no active frame (43 ms of sound
   * at least), nothing there, or a strand above half the sample rate.
   * @param active 100 ms blocks that count, as from `activeBlocks`, in place of the gates: give every
   * joint of a chain those of the first, so that strands compare like with like
   */
  levelsDbfs(active?: Uint8Array): readonly (number | null)[]
  /**
   * Six mean squares for each spectrum so far, linear: spectrum k covers 2 `strandHop` frames from k `strandHop` on.
   * Empty unless the layout asks for them.
   */
  framePowers(): Float64Array
  /** Levels of the third octaves of the same spectra, as `createThirdLevels` has them; empty unless asked for. */
  frameThirds(): Uint8Array
}

/** @param layout any number of channels */
export function createStrandMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
  readonly keepsFrames?: boolean | undefined
}): StrandMeter {
  const { sampleRateHz, channels: channelCount, keepsFrames = false } = layout
  const hop = strandHop(sampleRateHz)
  const points = 2 * hop
  const spectra = twoSpectraOf(points, 'sine')
  const { squares, sums } = spectra
  const bands = strandBands(points, sampleRateHz)
  const thirds = keepsFrames ? thirdBands(points, sampleRateHz) : []
  // Room for two overlapping frames, which are transformed at once.
  const room = points + hop
  const held = Array.from({ length: channelCount }, () => new Float64Array(room))
  const nothing = new Float64Array(points)
  /** Of the two frames, one after the other. */
  const strandPower = new Float64Array(2 * STRANDS)
  const thirdPower = new Float64Array(2 * thirds.length)
  const classPower = new Float64Array(CLASSES * STRANDS)
  const classFrames = new Float64Array(CLASSES)
  // One-sided spectrum, sine window (mean square 1/2), mean of channels.
  const scale = 2 / (points * (points / 2) * channelCount)
  /** Per 100 ms block: how many frames have their middle in it, and the sum of each strand's power. */
  const blocks = new GrowingDoubles()
  const kept = new GrowingDoubles()
  const thirdLevels = createThirdLevels()
  let filled = 0
  let framesTaken = 0
  /** Whether the first of the held frames is counted already. */
  let isFirstTaken = false

  /** Transforms the held frames; of one alone, the other is silence. */
  function transformFrames(areTwo: boolean): void {
    strandPower.fill(0)
    thirdPower.fill(0)
    for (const samples of held) {
      spectra.measure(samples, 0, areTwo ? samples : nothing, areTwo ? hop : 0)
      sumBands(bands, strandPower)
      sumBands(thirds, thirdPower)
    }
  }

  function takeFrames(): void {
    transformFrames(true)
    if (!isFirstTaken) count(0)
    count(1)
    isFirstTaken = false
    // The second half of the second frame begins the next one.
    for (const samples of held) samples.copyWithin(0, points)
    filled = hop
  }

  /** Counts a frame that is still alone, before the figures are read. */
  function takeLastFrame(): void {
    if (filled < points || isFirstTaken) return
    transformFrames(false)
    count(0)
    isFirstTaken = true
  }

  /** Adds one of the two frames to its block and class. */
  function count(which: 0 | 1): void {
    const from = which * STRANDS
    addToBlock(from)
    if (keepsFrames) {
      for (let s = 0; s < STRANDS; s++) kept.push(strandPower[from + s] * scale)
      thirdLevels.add(thirdPower, which * thirds.length, scale)
    }
    let total = 0
    for (let s = 0; s < STRANDS; s++) total += strandPower[from + s]
    const level = Math.floor((dbFromPower(total * scale) - ABSOLUTE_GATE_DBFS) / CLASS_DB)
    if (level < 0) return
    const at = Math.min(CLASSES - 1, level)
    classFrames[at]++
    for (let s = 0; s < STRANDS; s++) classPower[at * STRANDS + s] += strandPower[from + s] * scale
  }

  function addToBlock(from: number): void {
    const middle = framesTaken * hop + hop
    framesTaken++
    const block = Math.floor((middle * BLOCKS_PER_SECOND) / sampleRateHz)
    while (blocks.length <= block * BLOCK_FIELDS) for (let f = 0; f < BLOCK_FIELDS; f++) blocks.push(0)
    const values = blocks.values()
    const at = block * BLOCK_FIELDS
    values[at]++
    for (let s = 0; s < STRANDS; s++) values[at + 1 + s] += strandPower[from + s] * scale
  }

  function meanOfBlocks(active: Uint8Array): number[] {
    const values = blocks.values()
    const sums = new Array<number>(STRANDS).fill(0)
    let frames = 0
    for (let block = 0; block < active.length && block * BLOCK_FIELDS < values.length; block++) {
      if (active[block] !== 1) continue
      frames += values[block * BLOCK_FIELDS]
      for (let s = 0; s < STRANDS; s++) sums[s] += values[block * BLOCK_FIELDS + 1 + s]
    }
    return sums.map((sum) => (frames === 0 ? 0 : sum / frames))
  }

  /** Adds the power of each band in both of the held frames, those of the first before those of the second. */
  function sumBands(all: readonly (BandOfBins | null)[], powers: Float64Array): void {
    for (let b = 0; b < all.length; b++) {
      const band = all[b]
      if (band === null) continue
      spectra.sumBins(band.firstBin, band.lastBin)
      for (let which = 0; which < 2; which++) {
        const first = squares[2 * band.firstBin + which]
        const last = squares[2 * band.lastBin + which]
        powers[which * all.length + b] +=
          sums[which] - (band.firstBinOutside * first + band.lastBinOutside * last)
      }
    }
  }

  return {
    add(channels, frames) {
      let read = 0
      while (read < frames) {
        const take = Math.min(frames - read, room - filled)
        for (let c = 0; c < channelCount; c++) {
          const from = channels[c]
          held[c].set(read === 0 && take === from.length ? from : from.subarray(read, read + take), filled)
        }
        read += take
        filled += take
        if (filled === room) takeFrames()
      }
    },
    levelsDbfs(active) {
      takeLastFrame()
      const toLevel = (power: number): number | null => (power > 0 ? dbFromPower(power) : null)
      if (active !== undefined) return meanOfBlocks(active).map(toLevel)
      const mean = meanPower(classPower, classFrames, 0)
      const total = mean.reduce((sum, power) => sum + power, 0)
      const gate = Math.ceil((dbFromPower(total) + RELATIVE_GATE_DB - ABSOLUTE_GATE_DBFS) / CLASS_DB)
      return meanPower(classPower, classFrames, Math.max(0, gate)).map(toLevel)
    },
    framePowers() {
      takeLastFrame()
      return kept.values()
    },
    frameThirds() {
      takeLastFrame()
      return thirdLevels.bytes()
    },
  }
}

/** Mean power per strand over the frames of all classes from `firstClass` up; zeros without frames. */
function meanPower(classPower: Float64Array, classFrames: Float64Array, firstClass: number): number[] {
  const sums = new Array<number>(STRANDS).fill(0)
  let frames = 0
  for (let i = firstClass; i < CLASSES; i++) {
    frames += classFrames[i]
    for (let s = 0; s < STRANDS; s++) sums[s] += classPower[i * STRANDS + s]
  }
  return sums.map((sum) => (frames === 0 ? 0 : sum / frames))
}

interface BandOfBins {
  readonly firstBin: number
  readonly lastBin: number
  /** Shares of the outermost bins' power that belong to the neighbours. */
  readonly firstBinOutside: number
  readonly lastBinOutside: number
}

/**
 * Bins of a band; a bin covers the band of one bin's width around it and is split where an edge cuts it. Bins 0 and
 * half the rate have no mirror image, so half of each counts.
 * @param low, high edges in bins
 */
function bandOfBins(low: number, high: number): BandOfBins | null {
  if (high <= low) return null
  const firstBin = Math.round(low)
  const lastBin = Math.round(high)
  return {
    firstBin,
    lastBin,
    firstBinOutside: low - (firstBin - 0.5),
    lastBinOutside: lastBin + 0.5 - high,
  }
}

function strandBands(points: number, sampleRateHz: number): readonly (BandOfBins | null)[] {
  const top = points / 2
  const edges = [0, ...STRAND_EDGES_HZ.map((edgeHz) => Math.min(top, (edgeHz * points) / sampleRateHz)), top]
  return STRAND_NAMES.map((_, s) => bandOfBins(edges[s], edges[s + 1]))
}

function thirdBands(points: number, sampleRateHz: number): readonly (BandOfBins | null)[] {
  const binOf = (hz: number): number => Math.min(points / 2, (hz * points) / sampleRateHz)
  return SONG_BANDS.map(({ lowerHz, upperHz }) => bandOfBins(binOf(lowerHz), binOf(upperHz)))
}

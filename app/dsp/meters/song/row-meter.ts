// What is measured along the song at one joint of a chain: one row for each hop of the strands' spectra, on frames of
// the take. The joint is late by the stages before it, and that is taken out here, so that rows of all joints lie
// under one another.

import { dbFromPower } from '../../maths/decibels.ts'
import { BLOCK_FRAMES, type Channels } from '../../stage.ts'
import { createJointMeter, type JointMeter } from '../joint-meter.ts'
import { createKWeightedEnergy } from '../k-weighting.ts'
import { loudnessChannelWeights } from '../loudness.ts'
import { sumOfSquares } from '../power.ts'
import { STRAND_NAMES, strandHop } from '../strands.ts'
import { type Survey, surveySamples } from '../survey.ts'
import { SONG_BANDS } from './third-levels.ts'

/** What a stage without anything added reads, and the least that is told, in dB. */
const NOTHING_ADDED_DB = -120
/** Mean square of -140 dBFS: what is added to less is not told. */
const SILENT_POWER = 1e-14

/** Rows of one joint, and of the stage before it; one value a row, linear with full scale = 1 unless named dB. */
export interface SongRows {
  /** Mean squares of rumble, then of mud and so on: of the spectrum that begins with the row and ends with the next one; 0 in the last. */
  readonly strandPowers: Float32Array
  /** Third octaves of the same spectra, SONG_BANDS bytes a row, as `createThirdLevels` has them; 0 in the last row. */
  readonly thirds: Uint8Array
  /** Mean square, mean of the channels. */
  readonly powers: Float32Array
  /** K-weighted mean square, summed over the channels (BS.1770-5 Annex 1). */
  readonly loudnessPowers: Float32Array
  /** Greatest magnitude of a sample. */
  readonly peaks: Float32Array
  /**
   * Least and greatest of what the stage does within the row: reduction in dB, 0 or more; of a drive, both are the
   * level of what it adds in relation to what comes out, in dB. Zeros where the stage has no such figure.
   */
  readonly leastDb: Float32Array
  readonly mostDb: Float32Array
}

/** What the stage before a joint has done to a block. */
export interface StageTrace {
  /** Reduction of each frame in dB, as `createStage` has it traced. */
  readonly reductionDb: Float64Array | null
  /** The block before the stage, delayed by the stage's latency: what a drive adds is told by it. */
  readonly dry: Channels | null
}

/** Measures one joint of a chain, whole and along the song. */
export interface RowMeter {
  /** Figures of the whole, over the same frames. */
  readonly joint: JointMeter
  /** @param frames of the block at the joint, up to BLOCK_FRAMES, finite values only */
  add(block: Channels, frames: number, trace: StageTrace): void
  rows(): SongRows
}

/**
 * @param layout of the lane at the joint; `frames` of the take, which has `rows = ceil(frames / strandHop)`; without
 * `keepsRows` there are none, and the joint alone is measured
 * @param latencySamples of all stages before the joint
 */
export function createRowMeter(
  layout: {
    readonly sampleRateHz: number
    readonly channels: number
    readonly frames: number
    readonly keepsRows: boolean
  },
  latencySamples: number,
): RowMeter {
  const { sampleRateHz, channels: channelCount, frames: takeFrames, keepsRows } = layout
  const rowFrames = strandHop(sampleRateHz)
  const count = keepsRows ? Math.ceil(takeFrames / rowFrames) : 0
  const joint = createJointMeter({ sampleRateHz, channels: channelCount, keepsSpectra: keepsRows })
  const weighted = createKWeightedEnergy(sampleRateHz, loudnessChannelWeights(channelCount))
  const powers = new Float32Array(count)
  const loudnessPowers = new Float32Array(count)
  const peaks = new Float32Array(count)
  const leastDb = new Float32Array(count)
  const mostDb = new Float32Array(count)
  const survey: Survey = { lowest: 0, highest: 0, sum: 0 }
  // A block of which the first part is before the take: its rest, from index 0 on.
  const cut: Channels = Array.from({ length: channelCount }, () => new Float64Array(BLOCK_FRAMES))
  // Of the row that is being filled, in doubles.
  const sums = new Float64Array(7)
  const [SQUARES, WEIGHTED, PEAK, LEAST, MOST, DRY, BOTH] = [0, 1, 2, 3, 4, 5, 6]
  let toSkip = latencySamples
  let frame = 0

  function addToRow(block: Channels, from: number, to: number, trace: StageTrace, shift: number): void {
    const { reductionDb, dry } = trace
    sums[WEIGHTED] += weighted.add(block, from, to)
    for (let c = 0; c < channelCount; c++) {
      const samples = block[c]
      sums[SQUARES] += sumOfSquares(samples, to - from, from)
      surveySamples(samples, from, to, survey)
      sums[PEAK] = Math.max(sums[PEAK], survey.highest, -survey.lowest)
      if (dry === null) continue
      const before = dry[c]
      for (let i = from; i < to; i++) {
        const x = before[i + shift]
        sums[DRY] += x * x
        sums[BOTH] += x * samples[i]
      }
    }
    if (reductionDb === null) return
    for (let i = from + shift; i < to + shift; i++) {
      const db = reductionDb[i]
      if (db < sums[LEAST]) sums[LEAST] = db
      if (db > sums[MOST]) sums[MOST] = db
    }
  }

  function closeRow(trace: StageTrace): void {
    const row = Math.ceil(frame / rowFrames) - 1
    powers[row] = sums[SQUARES] / (rowFrames * channelCount)
    loudnessPowers[row] = sums[WEIGHTED] / rowFrames
    peaks[row] = sums[PEAK]
    if (trace.dry !== null) leastDb[row] = mostDb[row] = addedDb()
    else if (trace.reductionDb !== null) {
      leastDb[row] = sums[LEAST]
      mostDb[row] = sums[MOST]
    }
    sums.fill(0)
    sums[LEAST] = Number.POSITIVE_INFINITY
  }

  /** What is left of the output without the input at the one gain that leaves least: harmonics and the like. */
  function addedDb(): number {
    const squares = sums[SQUARES]
    if (squares <= SILENT_POWER * rowFrames * channelCount || sums[DRY] === 0) return NOTHING_ADDED_DB
    const share = 1 - (sums[BOTH] * sums[BOTH]) / (sums[DRY] * squares)
    return share <= 0 ? NOTHING_ADDED_DB : Math.max(NOTHING_ADDED_DB, dbFromPower(share))
  }

  sums[LEAST] = Number.POSITIVE_INFINITY
  return {
    joint,
    add(block, frames, trace) {
      const skipped = Math.min(toSkip, frames)
      toSkip -= skipped
      const used = Math.min(frames - skipped, takeFrames - frame)
      if (used <= 0) return
      let sound = block
      if (skipped > 0) {
        sound = cut
        for (let c = 0; c < channelCount; c++)
          for (let i = 0; i < used; i++) cut[c][i] = block[c][i + skipped]
      }
      joint.add(sound, used)
      if (!keepsRows) {
        frame += used
        return
      }
      for (let from = 0; from < used; ) {
        const to = Math.min(used, from + rowFrames - (frame % rowFrames))
        addToRow(sound, from, to, trace, skipped)
        frame += to - from
        from = to
        if (frame % rowFrames === 0 || frame === takeFrames) closeRow(trace)
      }
    },
    rows() {
      const spectra = joint.spectrumPowers()
      const strands = STRAND_NAMES.length
      const strandPowers = new Float32Array(strands * count)
      for (let row = 0; row < Math.min(count, spectra.length / strands); row++)
        for (let s = 0; s < strands; s++) strandPowers[s * count + row] = spectra[row * strands + s]
      const thirds = new Uint8Array(SONG_BANDS.length * count)
      const ofSpectra = joint.spectrumThirds()
      thirds.set(ofSpectra.subarray(0, Math.min(thirds.length, ofSpectra.length)))
      return { strandPowers, thirds, powers, loudnessPowers, peaks, leastDb, mostDb }
    },
  }
}

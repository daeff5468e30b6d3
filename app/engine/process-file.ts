// One file through one chain, file to file, with what each stage did.

import { openAudioFile } from '../audio/open-audio-file.ts'
import { createWaveWriter } from '../audio/wave-writer.ts'
import type { StemEncoding } from '../contract/commands.ts'
import type { StageSetup } from '../contract/render-plan.ts'
import { createChain } from '../dsp/chain.ts'
import { dbFromPower } from '../dsp/decibels.ts'
import { sumOfSquares } from '../dsp/power.ts'
import { BLOCK_FRAMES, type Channels } from '../dsp/stage.ts'
import { trimCeiling } from './ceiling-trim.ts'

export interface ProcessedStage {
  readonly kind: string
  readonly maxReductionDb: number
  /** RMS over the whole file; null for silence. */
  readonly levelInDbfs: number | null
  readonly levelOutDbfs: number | null
}

export interface ProcessedFile {
  readonly frames: number
  readonly stages: readonly ProcessedStage[]
  /** Samples that did not fit the integer words and were held at full scale. */
  readonly clippedSamples: number
}

/** Seed of the dither of a processed file; any fixed number gives the same bytes each time. */
const DITHER_SEED = 1

/**
 * Streams `from` through the stages into `to`: same length, rate and start, latency taken out.
 * @param moved hears the fraction done; throws to stop, and nothing is left behind
 */
export function processAudioFile(
  from: string,
  to: string,
  setups: readonly StageSetup[],
  encoding: StemEncoding,
  moved: (fraction: number) => void,
): ProcessedFile {
  const audio = openAudioFile(from)
  try {
    const { sampleRateHz, channels, frames } = audio.format
    const powers = new Float64Array(setups.length + 1)
    const layout = { sampleRateHz, laneChannels: [channels] }
    const chain = createChain(trimCeiling(setups, 0), layout, (joint, lanes, count) => {
      for (const samples of lanes[0]) powers[joint] = powers[joint] + sumOfSquares(samples, count)
    })
    const greatestDb = setups.map(() => 0)
    const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
    const isExact = setups.length === 0 && /^pcm-(8|16|24)$/.test(audio.format.encoding)
    const writer = createWaveWriter(to, {
      sampleRateHz,
      channels,
      encoding,
      ditherSeed: isExact ? null : DITHER_SEED,
    })
    try {
      const advance = (at: number, count: number): void => {
        audio.read(at, count, block)
        chain.process([block], count)
        for (const [k, stage] of chain.stages.entries())
          greatestDb[k] = Math.max(greatestDb[k], stage.reductionDb)
      }
      const late = chain.latencySamples
      for (let at = 0; at < late; at += BLOCK_FRAMES) advance(at, Math.min(BLOCK_FRAMES, late - at))
      for (let done = 0; done < frames; ) {
        const count = Math.min(BLOCK_FRAMES, frames - done)
        advance(done + late, count)
        writer.write(block, count)
        done += count
        moved(done / frames)
      }
      writer.finish()
    } catch (error) {
      writer.abort()
      throw error
    }
    const levelDbfs = (joint: number): number | null => {
      const power = powers[joint] / (frames * channels)
      return power > 0 ? dbFromPower(power) : null
    }
    return {
      frames,
      clippedSamples: writer.clippedSamples,
      stages: setups.map(({ kind }, k) => ({
        kind,
        maxReductionDb: greatestDb[k],
        levelInDbfs: levelDbfs(k),
        levelOutDbfs: levelDbfs(k + 1),
      })),
    }
  } finally {
    audio.close()
  }
}

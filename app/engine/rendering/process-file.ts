// Processes one file through one chain into a new file, and reports what each stage did.

import type { OnProgress } from '../../audio/on-progress.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { createWaveWriter } from '../../audio/wave/wave-writer.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import type { StemEncoding } from '../../contract/wire/commands.ts'
import { ditherSeedOf } from '../../dsp/conversion/dither.ts'
import { dbFromPower } from '../../dsp/maths/decibels.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createSplitChain, type SplitChain, type StartHelper, sharedLevels } from '../chain/split-chain.ts'
import { refuseUnmeasurable } from '../measuring/refuse-unmeasurable.ts'
import { trimCeiling } from './ceiling-trim.ts'

/** What one stage did to the file. */
interface ProcessedStage {
  readonly kind: string
  readonly maxReductionDb: number
  /** RMS over the whole file; null for silence. */
  readonly levelInDbfs: number | null
  readonly levelOutDbfs: number | null
}

/** Outcome of processing a file. */
export interface ProcessedFile {
  readonly frames: number
  readonly stages: readonly ProcessedStage[]
  /** Samples that exceeded the integer format and were clipped to full scale. */
  readonly clippedSamples: number
}

/** Approximate cost of reading and writing, ns per sample. */
const BESIDE_NS = 8

/** What to process, and who is told. */
interface ProcessOrder {
  readonly from: string
  readonly to: string
  /** What to call `from` in a failure. */
  readonly name: string
  readonly setups: readonly StageSetup[]
  readonly encoding: StemEncoding
  /** Hexadecimal hash of the take and its stages; asked for only where dither is seeded with it. */
  identity(): Promise<string>
  readonly onProgress: OnProgress
  /** Called when everything is written but not yet under its name; throws to refuse. */
  beforeFinish(): void
  /** Returns the function that starts a second thread, where one is worth it. */
  helperFor(frames: number, sampleRateHz: number): StartHelper | null
}

/**
 * Streams `from` through the stages into `to`: same length, rate and start, latency compensated.
 * Leaves nothing behind when `onProgress` stops it.
 */
export async function processAudioFile(order: ProcessOrder): Promise<ProcessedFile> {
  const { from, to, name, setups, encoding } = order
  const audio = openAudioFile(from)
  try {
    const { sampleRateHz, channels, frames } = audio.format
    const levels = sharedLevels(setups.length)
    const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
    const isExact = setups.length === 0 && /^pcm-(8|16|24)$/.test(audio.format.encoding)
    const writer = createWaveWriter(to, {
      sampleRateHz,
      channels,
      encoding,
      ditherSeed: isExact || encoding === 'float-32' ? null : ditherSeedOf(await order.identity()),
    })
    const isFloat = audio.format.encoding.startsWith('float')
    let chain: SplitChain | null = null
    try {
      const running = createSplitChain(
        trimCeiling(setups, 0),
        { sampleRateHz, laneChannels: [channels] },
        {
          besideNs: BESIDE_NS * channels,
          startHelper: order.helperFor(frames, sampleRateHz),
          measured: { levels, frames },
        },
      )
      chain = running
      const advance = (at: number, count: number): void => {
        audio.read(at, count, block)
        if (isFloat) refuseUnmeasurable(block, count, at, { name, sampleRateHz })
        running.process([block], count)
      }
      const late = running.latencySamples
      for (let at = 0; at < late; at += BLOCK_FRAMES) advance(at, Math.min(BLOCK_FRAMES, late - at))
      for (let done = 0; done < frames; ) {
        const count = Math.min(BLOCK_FRAMES, frames - done)
        advance(done + late, count)
        writer.write(block, count)
        done += count
        await order.onProgress(done / frames)
      }
      order.beforeFinish()
      writer.finish()
    } catch (error) {
      writer.abort()
      throw error
    } finally {
      chain?.close()
    }
    const levelDbfs = (joint: number): number | null => {
      const power = levels.powers[joint] / (frames * channels)
      return power > 0 ? dbFromPower(power) : null
    }
    return {
      frames,
      clippedSamples: writer.clippedSamples,
      stages: setups.map(({ kind }, k) => ({
        kind,
        maxReductionDb: levels.reductionsDb[k],
        levelInDbfs: levelDbfs(k),
        levelOutDbfs: levelDbfs(k + 1),
      })),
    }
  } finally {
    audio.close()
  }
}

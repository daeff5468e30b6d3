// Processes one file through one chain into a new file, and reports what each stage did.

import { createHash } from 'node:crypto'
import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { createWaveWriter } from '../../audio/wave/wave-writer.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import type { StemEncoding } from '../../contract/wire/commands.ts'
import { ditherSeedOf } from '../../dsp/conversion/dither.ts'
import { dbFromPower } from '../../dsp/maths/decibels.ts'
import { isMeasurable } from '../../dsp/meters/sample-peak.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createSplitChain, type SplitChain, type StartHelper, sharedLevels } from '../chain/split-chain.ts'
import { unmeasurableFailure } from '../measuring/meter-facts.ts'
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

/** Spans of a long file that its identity is computed from, and their length in frames. */
const IDENTITY_SPANS = 64
const IDENTITY_SPAN_FRAMES = 4 * BLOCK_FRAMES
/** Approximate cost of reading and writing, ns per sample. */
const BESIDE_NS = 8

/**
 * Streams `from` through the stages into `to`: same length, rate and start, latency compensated.
 * Leaves nothing behind when `onProgress` stops it.
 * @param beforeFinish called when everything is written but not yet under its name; throws to refuse
 * @param name what to call the file in a failure
 * @param helperFor returns the function that starts a second thread, where one is worth it
 */
export async function processAudioFile(
  from: string,
  to: string,
  setups: readonly StageSetup[],
  encoding: StemEncoding,
  onProgress: OnProgress,
  beforeFinish: () => void,
  name: string,
  helperFor: (frames: number, sampleRateHz: number) => StartHelper | null = () => null,
): Promise<ProcessedFile> {
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
      ditherSeed: isExact || encoding === 'float-32' ? null : ditherSeedOf(identityOf(audio, setups)),
    })
    const isFloat = audio.format.encoding.startsWith('float')
    let chain: SplitChain | null = null
    try {
      const running = createSplitChain(
        trimCeiling(setups, 0),
        { sampleRateHz, laneChannels: [channels] },
        {
          besideNs: BESIDE_NS * channels,
          startHelper: helperFor(frames, sampleRateHz),
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
        await onProgress(done / frames)
      }
      beforeFinish()
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

/**
 * Hash of the format, the stages and the sound: all of a short file, and spans of a long one, because hashing every
 * byte takes as long as a stage. Recordings that differ, differ in noise everywhere.
 */
function identityOf(audio: AudioSource, setups: readonly StageSetup[]): string {
  const { sampleRateHz, channels, frames } = audio.format
  const hash = createHash('sha256').update(JSON.stringify({ sampleRateHz, channels, frames, setups }))
  const span = Array.from({ length: channels }, () => new Float64Array(IDENTITY_SPAN_FRAMES))
  const step = Math.max(IDENTITY_SPAN_FRAMES, Math.floor(frames / IDENTITY_SPANS))
  for (let at = 0; at < frames; at += step) {
    audio.read(at, IDENTITY_SPAN_FRAMES, span)
    for (const samples of span) hash.update(samples)
  }
  return hash.digest('hex')
}

/** @throws Failure as an import does for a sample that is not a number or is beyond 32-bit float */
function refuseUnmeasurable(
  block: Channels,
  count: number,
  at: number,
  { name, sampleRateHz }: { readonly name: string; readonly sampleRateHz: number },
): void {
  for (let i = 0; i < count; i++) {
    for (let channel = 0; channel < block.length; channel++) {
      if (!isMeasurable(block[channel][i]))
        throw unmeasurableFailure(name, sampleRateHz, { frame: at + i, channel })
    }
  }
}

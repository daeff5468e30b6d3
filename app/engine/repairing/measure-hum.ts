// Measures the hum of a take for subtraction, in two more passes: the phase of its fundamental through all of it,
// then the strength of each harmonic in the pauses, channel by channel.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { type HumFamily, MAINS_TOLERANCE } from '../../dsp/check/hum.ts'
import { createMonoFeed } from '../../dsp/check/mono-feed.ts'
import { createOctaveBank } from '../../dsp/check/octave-bank.ts'
import type { CheckedTake } from '../../dsp/check/take-check.ts'
import {
  createAmplitudeFit,
  createPhaseReader,
  fixedPhase,
  type HumAmplitudes,
  type HumPhase,
} from '../../dsp/repair/hum-model.ts'
import type { RefusalReason } from '../../dsp/repair/patch.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'

/** What is subtracted from each channel. */
export interface HumModel {
  readonly fundamentalHz: number
  readonly phase: HumPhase
  readonly channels: readonly HumAmplitudes[]
}

/** With less the phase was not followed, or the level moves. */
const LEAST_FALL_DB = 10

/**
 * @returns a reason where the hum cannot be followed well enough, or where its phase shows that it is not that of
 *   the mains: side lobes of a neighbouring line can look like a family
 */
export async function measureHum(
  audio: AudioSource,
  family: HumFamily,
  levels: CheckedTake['levels'],
  onProgress: OnProgress,
): Promise<HumModel | RefusalReason> {
  const { sampleRateHz, channels, frames } = audio.format
  const { fundamentalHz } = family
  const most = family.harmonics.reduce((highest, { harmonic }) => Math.max(highest, harmonic), 1)
  const harmonics = Array.from({ length: most }, (_, k) => k + 1)
  const { low } = createOctaveBank(sampleRateHz, BLOCK_FRAMES)
  const layout = { rateHz: low.rateHz, delaySeconds: low.delayFrames / sampleRateHz }

  const reader = createPhaseReader(fundamentalHz, layout.rateHz, layout.delaySeconds, frames / sampleRateHz)
  const feed = createMonoFeed({ sampleRateHz, channels })
  const mono = new Float64Array(BLOCK_FRAMES)
  await passAtLowRate(audio, 1, (done) => onProgress(done / 3), {
    mix: (block) => {
      feed.read(block, 0, BLOCK_FRAMES, mono, 0)
      return [mono]
    },
    hear: (_, samples, from, count) => reader.add(samples, from, count),
  })

  const fitted = async (phase: HumPhase, offset: number): Promise<HumModel | null> => {
    const fits = Array.from({ length: channels }, () => createAmplitudeFit(phase, harmonics, layout, levels))
    await passAtLowRate(audio, channels, (done) => onProgress((offset + done) / 3), {
      mix: (block) => block,
      hear: (channel, samples, from, count) => fits[channel].add(samples, from, count),
    })
    const amplitudes = fits.map((fit) => fit.amplitudes())
    if (amplitudes.some((one) => one === null)) return null
    const model = { fundamentalHz: phase.meanHz, phase, channels: amplitudes.filter((one) => one !== null) }
    return fallOf(model) >= LEAST_FALL_DB ? model : null
  }
  const phase = reader.phase()
  const followed = phase && (await fitted(phase, 1))
  if (followed !== null && Math.abs(followed.phase.meanHz / family.mainsHz - 1) > MAINS_TOLERANCE)
    return 'not-mains'
  return followed ?? (await fitted(fixedPhase(fundamentalHz), 2)) ?? 'hum-unchanged'
}

/** The fall in the loudest channel. */
export function fallOf({ channels }: HumModel): number {
  return channels.reduce((loudest, one) => (one.power > loudest.power ? one : loudest)).fallDb
}

interface LowRatePass {
  /** The signals of a block, each BLOCK_FRAMES long. */
  mix(block: Channels): Channels
  hear(signal: number, samples: Float64Array, from: number, count: number): void
}

/** Reads the take near 3 kHz, with as much silence behind it as the filters delay. */
async function passAtLowRate(
  audio: AudioSource,
  signals: number,
  onProgress: OnProgress,
  { mix, hear }: LowRatePass,
): Promise<void> {
  const { sampleRateHz, channels, frames } = audio.format
  const banks = Array.from({ length: signals }, () => createOctaveBank(sampleRateHz, BLOCK_FRAMES))
  const block = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
  const end = frames + banks[0].low.delayFrames
  for (let at = 0; at < end; at += BLOCK_FRAMES) {
    audio.read(at, BLOCK_FRAMES, block)
    for (const [signal, samples] of mix(block).entries()) {
      const { low } = banks[signal]
      banks[signal].add(samples, 0)
      hear(signal, low.samples, low.from, BLOCK_FRAMES / low.factor)
    }
    await onProgress(Math.min(1, at / end))
  }
}

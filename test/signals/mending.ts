// Takes with planted faults through the repair of files as the command line runs it.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import type { WaveEncoding } from '../../app/audio/sample-encoding.ts'
import { createWaveWriter } from '../../app/audio/wave/wave-writer.ts'
import type { RepairReport } from '../../app/contract/repairs/repair-report.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'
import type { RepairKind } from '../../app/dsp/repair/patch.ts'
import { repairFile } from '../../app/services/single-files/repair-file.ts'
import { RATE_HZ } from './checking.ts'

export interface Mended {
  /** As written, which rounds. */
  readonly take: readonly Float64Array[]
  readonly out: readonly Float64Array[]
  readonly removed: readonly Float64Array[]
  readonly report: RepairReport
}

export const QUIET_CONTEXT = { signal: new AbortController().signal, report: () => {} }

export function writeWave(path: string, channels: readonly Float64Array[], encoding: WaveEncoding): void {
  const layout = { sampleRateHz: RATE_HZ, channels: channels.length, encoding, ditherSeed: null }
  const writer = createWaveWriter(path, layout)
  writer.write(channels, channels[0].length)
  writer.finish()
}

export function readWave(path: string): Float64Array[] {
  const audio = openAudioFile(path)
  const { channels, frames } = audio.format
  const samples = Array.from({ length: channels }, () => new Float64Array(frames))
  audio.read(0, frames, samples)
  audio.close()
  return samples
}

/** @param breathsDb above 0 asks for breaths as well */
export async function mended(
  channels: readonly Float64Array[],
  kinds: readonly RepairKind[],
  { encoding = 'float-32' as WaveEncoding, breathsDb = 0, isExplicit = true } = {},
): Promise<Mended> {
  const folder = mkdtempSync(join(tmpdir(), 'mending-'))
  try {
    const [from, to, removed] = ['in', 'out', 'removed'].map((name) => join(folder, `${name}.wav`))
    writeWave(from, channels, encoding)
    const wanted = { kinds: new Set(kinds), isExplicit, breathsDb }
    const report = await repairFile({ from, to, removed, ...wanted }, QUIET_CONTEXT)
    return { take: readWave(from), out: readWave(to), removed: readWave(removed), report }
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** Samples that were changed outside of the listed spans. */
export function changedOutside({ take, out, report }: Mended): number {
  let changed = 0
  for (const [channel, samples] of take.entries()) {
    const inside = new Uint8Array(samples.length)
    for (const { fromS, toS } of report.repairs) {
      inside.fill(1, Math.round(fromS * RATE_HZ), Math.round(toS * RATE_HZ))
    }
    for (let n = 0; n < samples.length; n++) if (inside[n] === 0 && out[channel][n] !== samples[n]) changed++
  }
  return changed
}

/** Greatest difference of the sum from the take. */
export function sumError({ take, out, removed }: Mended): number {
  let most = 0
  for (const [channel, samples] of take.entries()) {
    for (let n = 0; n < samples.length; n++) {
      most = Math.max(most, Math.abs(out[channel][n] + removed[channel][n] - samples[n]))
    }
  }
  return most
}

/** Clipped this far below its highest level. */
export function clippedAt(samples: Float64Array, depthDb: number): { take: Float64Array; limit: number } {
  const highest = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
  const limit = Math.fround(highest * 10 ** (-depthDb / 20))
  return { take: samples.map((sample) => Math.max(-limit, Math.min(limit, sample))), limit }
}

const HUM_AMPLITUDES = [1, 0.5, 0.7, 0.2, 0.4, 0.1, 0.2, 0.1, 0.1]

/** Nine harmonics whose fundamental moves evenly by `driftHz` from the start to the end. */
export function driftingHum(
  frames: number,
  fundamentalHz: number,
  driftHz: number,
  levelDbfs: number,
): Float64Array {
  const power = HUM_AMPLITUDES.reduce((sum, amplitude) => sum + amplitude ** 2 / 2, 0)
  const gain = 10 ** (levelDbfs / 20) / Math.sqrt(power)
  let angle = 0.3
  return Float64Array.from({ length: frames }, (_, n) => {
    angle += (2 * Math.PI * (fundamentalHz + (driftHz * n) / frames)) / RATE_HZ
    return (
      gain *
      HUM_AMPLITUDES.reduce((sum, amplitude, k) => sum + amplitude * Math.sin((k + 1) * angle + k * k), 0)
    )
  })
}

/** Moments in a voiced sound, at least 40 ms from where it is not, by the truth of the generated voice. */
export function voicedMoments(
  f0: { readonly stepSeconds: number; readonly hz: Float32Array },
  every: number,
): number[] {
  const around = Math.round(0.04 / f0.stepSeconds)
  const moments: number[] = []
  for (let i = around; i + around < f0.hz.length; i += every) {
    if (f0.hz.subarray(i - around, i + around).every((hz) => hz > 0)) {
      moments.push(Math.round(i * f0.stepSeconds * RATE_HZ))
    }
  }
  return moments
}

/** Moments of real speech that are louder than its mean, where most of it is voiced. */
export function loudMoments(samples: Float64Array, every: number): number[] {
  const mean = samples.reduce((sum, sample) => sum + sample * sample, 0) / samples.length
  const moments: number[] = []
  for (let n = 6000; n < samples.length - 6000; n += every) {
    let power = 0
    for (let k = -960; k < 960; k++) power += samples[n + k] ** 2 / 1920
    if (power > mean) moments.push(n)
  }
  return moments
}

/** Single samples off by `heightDbfs`, one every third of a second or so. */
export function sampleClicks(
  samples: Float64Array,
  heightDbfs: number,
): { take: Float64Array; frames: number[] } {
  const take = samples.slice()
  const random = createRandom(7)
  const frames: number[] = []
  for (let t = 0.3; t < samples.length / RATE_HZ - 0.3; t += 0.25 + 0.2 * random.uniform()) {
    const at = Math.round(t * RATE_HZ)
    take[at] += 10 ** (heightDbfs / 20) * (random.uniform() < 0.5 ? -1 : 1)
    frames.push(at)
  }
  return { take, frames }
}

export const dbOfPower = (ratio: number): number => 10 * Math.log10(ratio)

export const middleOf = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : [...values].sort((a, b) => a - b)[values.length >> 1]

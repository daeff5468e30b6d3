// Mends a file into a new one, and writes what was taken away. Reads the take three times: to find what there
// is to mend, to see what becomes of it, and to write; so an hour needs no more memory than a minute.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { createWaveWriter, type WaveWriter } from '../../audio/wave/wave-writer.ts'
import type { RefusedRepair, Repair, RepairReport } from '../../contract/repairs/repair-report.ts'
import { dbFromPower } from '../../dsp/maths/decibels.ts'
import type { Mending, Patch } from '../../dsp/repair/patch.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import { fallOf, type HumModel } from './measure-hum.ts'
import { createPatchedTake } from './patched-take.ts'
import { type PlannedRepairs, planRepairs, type WantedRepairs } from './plan-repairs.ts'
import { fitsWords, type WrittenWords, writtenWords } from './written-words.ts'

/** What to mend, and who is told. */
interface RepairOrder {
  readonly from: string
  readonly to: string
  /** Where what was taken away is written; null for nowhere. */
  readonly removed: string | null
  /** What to call `from` in a failure. */
  readonly name: string
  readonly wanted: WantedRepairs
  readonly onProgress: OnProgress
  /** Called when everything is written but not yet under its name; throws to refuse. */
  beforeFinish(): void
}

const BLOCK = 16 * BLOCK_FRAMES
/** Shares of the time for finding and for mending; the rest is writing. */
const FINDING_PART = 0.7
const MENDING_PART = 0.15

/** @throws Failure of reading and writing; nothing is left behind then */
export async function repairAudioFile(order: RepairOrder): Promise<RepairReport> {
  const audio = openAudioFile(order.from)
  try {
    const plan = await planRepairs(audio, order.name, order.wanted, (done) =>
      order.onProgress(FINDING_PART * done),
    )
    const tried = await tryPatches(audio, plan, (done) =>
      order.onProgress(FINDING_PART + MENDING_PART * done),
    )
    const words = writtenWords(audio.format.encoding, tried.fits)
    await write(audio, tried.kept, plan.hum, words, order)
    const { sampleRateHz, channels, frames } = audio.format
    const byTime = (a: { fromS: number }, b: { fromS: number }): number => a.fromS - b.fromS
    return {
      ...{ sampleRateHz, channels, frames, encoding: words.encoding },
      repairs: [...tried.repairs, ...humRepair(plan.hum, frames / sampleRateHz)].sort(byTime),
      refused: [...plan.refused, ...tried.refused].sort(byTime),
    }
  } finally {
    audio.close()
  }
}

interface TriedPatches {
  readonly kept: readonly Patch[]
  readonly repairs: Repair[]
  readonly refused: readonly RefusedRepair[]
  /** Whether every mended sample fits the words of the take. */
  readonly fits: boolean
}

/** Makes each patch once, to know what it does before anything is written. */
async function tryPatches(
  audio: AudioSource,
  plan: PlannedRepairs,
  onProgress: OnProgress,
): Promise<TriedPatches> {
  const { channels, sampleRateHz, frames } = audio.format
  const kept: Patch[] = []
  const repairs: Repair[] = []
  const refused: RefusedRepair[] = []
  let fits = true
  const patches = plan.patches.toSorted((a, b) => a.fromFrame - b.fromFrame)
  const take = createPatchedTake(audio, patches, plan.hum)
  for (const [done, patch] of patches.entries()) {
    const mendings = take.mendingsOf(patch)
    const place = { fromS: patch.fromFrame / sampleRateHz, toS: patch.toFrame / sampleRateHz }
    const refusal = mendings.find((one) => one.outcome === 'refused')
    const isOutside = patch.fromFrame < 0 || patch.toFrame > frames
    if (isOutside)
      refused.push({ kind: patch.kind, ...clamped(place, frames / sampleRateHz), why: 'beside-the-end' })
    else if (refusal !== undefined) refused.push({ kind: patch.kind, ...place, why: refusal.why })
    else {
      const repair = repairOf(patch, mendings, plan, sampleRateHz)
      if (repair !== null) {
        repairs.push(repair)
        kept.push(patch)
        fits &&= mendings.every((one, channel) => mendingFits(audio, one, channel, channels))
      }
    }
    await onProgress(done / patches.length)
  }
  return { kept, repairs, refused, fits }
}

const clamped = (place: { fromS: number; toS: number }, seconds: number) => ({
  fromS: Math.max(0, place.fromS),
  toS: Math.min(seconds, place.toS),
})

function repairOf(
  patch: Patch,
  mendings: readonly Mending[],
  plan: PlannedRepairs,
  sampleRateHz: number,
): Repair | null {
  let fromFrame = Infinity
  let toFrame = -Infinity
  let amount = -Infinity
  const channels: number[] = []
  for (const [channel, mending] of mendings.entries()) {
    if (mending.outcome !== 'mended') continue
    channels.push(channel + 1)
    amount = Math.max(amount, mending.amount)
    for (const { from, samples } of mending.spans) {
      fromFrame = Math.min(fromFrame, from)
      toFrame = Math.max(toFrame, from + samples.length)
    }
  }
  if (channels.length === 0) return null
  const place = { fromS: fromFrame / sampleRateHz, toS: toFrame / sampleRateHz, channels }
  switch (patch.kind) {
    case 'clipped':
      return { kind: 'clipped', ...place, raisedDb: amount, runs: plan.runsOf.get(patch) ?? 1 }
    case 'clicks':
      return { kind: 'clicks', ...place, removedDbfs: amount }
    case 'pops':
      return { kind: 'pops', ...place, reductionDb: amount }
    case 'breaths':
      return { kind: 'breaths', ...place, reductionDb: amount }
  }
}

function humRepair(hum: HumModel | null, seconds: number): Repair[] {
  if (hum === null) return []
  const loudest = hum.channels.reduce((most, one) => Math.max(most, one.power), 0)
  return [
    {
      kind: 'hum',
      ...{ fromS: 0, toS: seconds, channels: hum.channels.map((_, channel) => channel + 1) },
      ...{ removedDbfs: dbFromPower(loudest), reductionDb: fallOf(hum) },
      ...{ fundamentalHz: hum.fundamentalHz, harmonics: hum.channels[0].harmonics, phase: hum.phase.kind },
    },
  ]
}

function mendingFits(audio: AudioSource, mending: Mending, channel: number, channels: number): boolean {
  if (mending.outcome !== 'mended') return true
  return mending.spans.every(({ from, samples }) => {
    const original = Array.from({ length: channels }, () => new Float64Array(samples.length))
    audio.read(from, samples.length, original)
    return samples.every((sample, n) => fitsWords(audio.format.encoding, sample, original[channel][n]))
  })
}

async function write(
  audio: AudioSource,
  patches: readonly Patch[],
  hum: HumModel | null,
  words: WrittenWords,
  order: RepairOrder,
): Promise<void> {
  const { sampleRateHz, channels, frames, timeReferenceSamples } = audio.format
  const options = {
    ...{ sampleRateHz, channels, encoding: words.encoding, ditherSeed: null },
    ...(timeReferenceSamples === null ? {} : { broadcast: stampOf(timeReferenceSamples) }),
  }
  const take = createPatchedTake(audio, patches, hum)
  const original = Array.from({ length: channels }, () => new Float64Array(BLOCK))
  const mended = Array.from({ length: channels }, () => new Float64Array(BLOCK))
  const writers: WaveWriter[] = []
  try {
    writers.push(createWaveWriter(order.to, options))
    if (order.removed !== null) writers.push(createWaveWriter(order.removed, options))
    for (let at = 0; at < frames; at += BLOCK) {
      const count = Math.min(BLOCK, frames - at)
      audio.read(at, count, original)
      take.read(at, count, mended)
      for (let c = 0; c < channels; c++) {
        for (let n = 0; n < count; n++) {
          const was = original[c][n]
          const is = mended[c][n]
          const stored = is === was ? was : words.stored(is, was)
          mended[c][n] = stored
          original[c][n] = stored === was ? 0 : words.removed(was, stored)
        }
      }
      writers[0].write(mended, count)
      writers[1]?.write(original, count)
      const done = (at + count) / frames
      await order.onProgress(FINDING_PART + MENDING_PART + (1 - FINDING_PART - MENDING_PART) * done)
    }
    order.beforeFinish()
    // The mended take last: where it is, the file of what was taken away is there as well.
    for (const writer of writers.toReversed()) writer.finish()
  } catch (error) {
    for (const writer of writers) writer.abort()
    throw error
  }
}

/** A take's time stamp stays with it. */
const stampOf = (timeReferenceSamples: number) => ({
  ...{ description: '', originator: 'Takeloft', originatorReference: '' },
  ...{ originationDate: '', originationTime: '', timeReferenceSamples, codingHistory: '' },
})

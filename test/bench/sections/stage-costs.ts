// What each stage costs by itself and the chains as a whole, with what stands around them in
// a job: reading, writing, metering. In this process, warm, on real speech in memory.

import { mkdirSync, rmSync } from 'node:fs'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createChain } from '../../../app/dsp/chain.ts'
import { createTakeMeter } from '../../../app/dsp/meters/take-meter.ts'
import { BLOCK_FRAMES, type Channels } from '../../../app/dsp/stage.ts'
import { DEMO_DYNAMIC } from '../../../app/dsp/voice/demo-mics.ts'
import { resolveStages } from '../../../app/services/chains/resolve-stages.ts'
import { createCorrectionFitter } from '../../../app/services/mics/correction-fitter.ts'
import { LIKE_SETUPS, WHOLE_CHAIN } from '../like-chain.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { inRoot, RESULTS } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { spreadOf } from '../statistics.ts'

const SECONDS = 10
const FRAMES = SECONDS * RATE_HZ
const WARM_PASSES = 5
const MIN_MS = 150

interface Work {
  readonly name: string
  /** Gets through the whole of the material once. */
  pass(): void
}

export async function stageCosts({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  mkdirSync(inRoot(RESULTS), { recursive: true })
  const samples = readSpeech()
  const setups = wholeSetups()
  const named: readonly (readonly [string, readonly StageSetup[]])[] = [
    ...setups.map((setup) => [setup.kind, [setup]] as const),
    ['tone, 4 bands of the comparison', LIKE_SETUPS.filter(({ kind }) => kind === 'tone')],
    ['chain of the comparison', LIKE_SETUPS],
    ['every stage', setups],
  ]
  const costs = [1, 2].map((channels) => {
    say(channels === 1 ? 'mono' : 'stereo')
    return timeWorks(
      [
        ...named.map(([name, stages]) => chainWork(name, stages, samples, channels)),
        meterWork(samples, channels),
        readWork(channels),
        writeWork(samples, channels),
      ],
      channels,
      rounds,
    )
  })
  const [mono, stereo] = costs
  return {
    id: 'stages',
    title: `cost of each stage by itself on ${SECONDS} s of speech, ns of CPU time per channel-sample, one thread, warm`,
    commands: {},
    notes: ['Every row but reading includes a copy of the block into place, well under 1 ns.'],
    tables: [
      {
        title: 'ns per channel-sample',
        columns: [
          { key: 'name', head: '' },
          { key: 'monoNs', head: 'mono', digits: 1 },
          { key: 'monoLeastNs', head: 'least', digits: 1 },
          { key: 'stereoNs', head: 'stereo', digits: 1 },
          { key: 'stereoLeastNs', head: 'least', digits: 1 },
        ],
        rows: mono.map(({ name, ns }, k): Record<string, Cell> => {
          const other = stereo[k].ns
          return {
            name,
            monoNs: ns.median,
            monoLeastNs: ns.least,
            stereoNs: other.median,
            stereoLeastNs: other.least,
          }
        }),
      },
    ],
  }
}

/** Works in turns, each for as many passes as it takes to be measured well. */
function timeWorks(works: readonly Work[], channels: number, rounds: number) {
  const passes = works.map((work) => Math.ceil(MIN_MS / warmPassMs(work)))
  const ns: number[][] = works.map(() => [])
  for (let round = 0; round < rounds; round++) {
    for (const [k, work] of works.entries()) {
      // The thread's own time, which the machine's other users do not lengthen; it may tick in 4 ms.
      const begun = process.threadCpuUsage()
      for (let pass = 0; pass < passes[k]; pass++) work.pass()
      const { user, system } = process.threadCpuUsage(begun)
      ns[k].push(((user + system) * 1e3) / (passes[k] * FRAMES * channels))
    }
  }
  return works.map(({ name }, k) => ({ name, ns: spreadOf(ns[k]) }))
}

function warmPassMs(work: Work): number {
  let leastMs = Number.POSITIVE_INFINITY
  for (let pass = 0; pass < WARM_PASSES; pass++) {
    const begun = performance.now()
    work.pass()
    leastMs = Math.min(leastMs, performance.now() - begun)
  }
  return leastMs
}

function chainWork(
  name: string,
  setups: readonly StageSetup[],
  samples: Float64Array,
  channels: number,
): Work {
  const chain = createChain(setups, { sampleRateHz: RATE_HZ, laneChannels: [channels] })
  const lane = emptyLane(channels)
  const lanes = [lane]
  return {
    name,
    pass: () =>
      inBlocks((at, frames) => {
        fillLane(lane, samples, at, frames)
        chain.process(lanes, frames)
      }),
  }
}

function meterWork(samples: Float64Array, channels: number): Work {
  const lane = emptyLane(channels)
  return {
    name: 'take meter',
    pass() {
      const meter = createTakeMeter({ sampleRateHz: RATE_HZ, channels })
      inBlocks((at, frames) => {
        fillLane(lane, samples, at, frames)
        meter.add(lane, frames)
      })
      meter.facts()
    },
  }
}

/** Only mono files are read; for the stereo column it is a second take. */
function readWork(channels: number): Work {
  const audio = openAudioFile(inRoot(speechTake(180, 0)))
  const lane = emptyLane(1)
  return {
    name: 'reading 24 bit',
    pass() {
      for (let c = 0; c < channels; c++) inBlocks((at, frames) => audio.read(at, frames, lane))
    },
  }
}

function writeWork(samples: Float64Array, channels: number): Work {
  const lane = emptyLane(channels)
  return {
    name: 'writing 24 bit with dither',
    pass() {
      const path = inRoot(`${RESULTS}/stage-costs.wav`)
      rmSync(path, { force: true })
      const writer = createWaveWriter(path, {
        sampleRateHz: RATE_HZ,
        channels,
        encoding: 'pcm-24',
        ditherSeed: 1,
      })
      inBlocks((at, frames) => {
        fillLane(lane, samples, at, frames)
        writer.write(lane, frames)
      })
      writer.finish()
    },
  }
}

function readSpeech(): Float64Array {
  const audio = openAudioFile(inRoot(speechTake(180, 0)))
  const samples = new Float64Array(FRAMES + BLOCK_FRAMES)
  audio.read(0, FRAMES, [samples])
  audio.close()
  return samples
}

function wholeSetups(): StageSetup[] {
  const { frequenciesHz, levelsDb } = DEMO_DYNAMIC.curve
  const micCurve = { frequenciesHz: [...frequenciesHz], levelsDb: [...levelsDb] }
  return resolveStages(WHOLE_CHAIN, micCurve, RATE_HZ, createCorrectionFitter()).flatMap(({ setup }) =>
    setup === null ? [] : [setup],
  )
}

function inBlocks(visit: (at: number, frames: number) => void): void {
  for (let at = 0; at < FRAMES; at += BLOCK_FRAMES) visit(at, Math.min(BLOCK_FRAMES, FRAMES - at))
}

const emptyLane = (channels: number): Float64Array[] =>
  Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))

/** The right channel is a block later, so that both sides do not carry the same. */
function fillLane(lane: Channels, samples: Float64Array, at: number, frames: number): void {
  for (const [c, channel] of lane.entries()) {
    const from = at + c * BLOCK_FRAMES
    channel.set(samples.subarray(from, from + frames))
  }
}

// Lines of passages against sums written out sample by sample, against whole takes, and against themselves read in other
// blocks and from other places.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { PlannedPassage } from '../../../app/contract/passages/passage.ts'
import type { PlannedLayer, StageSetup } from '../../../app/contract/render-plan.ts'
import { createChain } from '../../../app/dsp/chain.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { createPlaybackEngine } from '../../../app/engine/mixes/playback-engine.ts'
import { createTakeSource } from '../../../app/engine/mixes/take-source.ts'
import { layOutPassages } from '../../../app/engine/passages/passage-line.ts'
import { createPassageSource } from '../../../app/engine/passages/passage-source.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { cutAt, passageOf, randomComp } from '../../signals/passages.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { nullDepthDb, renderPlan } from '../rendering.ts'

const FS = 48_000
const FRAMES = 6 * FS

const correction = (gainDb: number): StageSetup => ({
  kind: 'mic-correction',
  settings: {
    bands: [
      { shape: 'low-shelf', frequencyHz: 120, gainDb, q: 0.7 },
      { shape: 'bell', frequencyHz: 3000, gainDb: -gainDb, q: 1.4 },
    ],
  },
})
const expander: StageSetup = {
  kind: 'expander',
  settings: { ...defaultStages.expander.settings, thresholdDbfs: -30, ratio: 3 },
}
const takeStages = (gainDb: number): StageSetup[] => [expander, correction(gainDb)]

/** Loud and quiet in turn, so that the expander works. */
const voiceLike = (seed: number): Float64Array =>
  whiteNoise(FRAMES, seed, 0.5).map((x, i) => x * (Math.floor(i / 9000) % 3 === 0 ? 0.01 : 1))

const sounds = [voiceLike(1), voiceLike(2), voiceLike(3)]
const settings = [takeStages(4), takeStages(-3), [] as StageSetup[]]

const sourceOf = (list: readonly PlannedPassage[], stages = settings, takes = sounds) =>
  createPassageSource(
    list,
    takes.map((sound, k) => ({ open: () => takeInMemory([sound]), stages: stages[k] })),
    1,
    FS,
  )

function readAll(
  source: ReturnType<typeof sourceOf>,
  frames: number,
  sizes: readonly number[],
): Float64Array {
  const out = new Float64Array(frames)
  const block = [new Float64Array(1024)]
  for (let at = 0, n = 0; at < frames; n++) {
    const count = Math.min(sizes[n % sizes.length], frames - at)
    source.read(at, count, block)
    out.set(block[0].subarray(0, count), at)
    at += count
  }
  return out
}

/** The sum of the passages by the formula of the law, one sample after another. */
function written(
  list: readonly PlannedPassage[],
  takes: readonly Float64Array[],
  frames: number,
): Float64Array {
  const out = new Float64Array(frames)
  const law = (s: number, r: number) => s / Math.sqrt((1 - s) ** 2 + s ** 2 + 2 * r * s * (1 - s))
  for (const one of list) {
    for (let i = 0; i < one.frames; i++) {
      let gain = 10 ** (one.gainDb / 20)
      const left = one.frames - 1 - i
      if (i < one.fadeInFrames)
        gain *= law((1 - Math.cos((Math.PI * (i + 0.5)) / one.fadeInFrames)) / 2, one.fadeInCorrelation)
      if (left < one.fadeOutFrames)
        gain *= law((1 - Math.cos((Math.PI * (left + 0.5)) / one.fadeOutFrames)) / 2, one.fadeOutCorrelation)
      out[one.atFrame + i] += gain * (takes[one.take][one.sourceFrame + i] ?? 0)
    }
  }
  return out
}

const identical = (a: Float64Array, b: Float64Array): boolean =>
  Buffer.from(a.buffer, a.byteOffset, a.byteLength).equals(Buffer.from(b.buffer, b.byteOffset, b.byteLength))

describe('the sum of passages', () => {
  it.each([
    ['noise', sounds],
    ['DC', sounds.map((sound, k) => sound.map(() => 0.3 * (k + 1)))],
    [
      'sines',
      [100, 997, 7000].map((hz) =>
        Float64Array.from({ length: FRAMES }, (_, n) => Math.sin((2 * Math.PI * hz * n) / FS)),
      ),
    ],
    ['digital zero', sounds.map((sound) => sound.map(() => 0))],
  ])('is the law’s, sample by sample: %s', (_name, takes) => {
    for (const [count, seed] of [
      [1, 1],
      [37, 2],
      [400, 3],
    ]) {
      const list = randomComp(count, 3, FRAMES, seed)
      const heard = readAll(sourceOf(list, [[], [], []], takes), FRAMES, [1024])
      expect(nullDepthDb(heard, written(list, takes, FRAMES))).toBeLessThan(-250)
    }
  })

  it('corrects each take before the join', () => {
    const through = sounds.map((sound, k) => {
      const chain = createChain(settings[k], { sampleRateHz: FS, laneChannels: [1] })
      const late = new Float64Array(FRAMES + chain.latencySamples)
      late.set(sound)
      for (let at = 0; at < late.length; at += 1024)
        chain.process([[late.subarray(at, at + 1024)]], Math.min(1024, late.length - at))
      return late.subarray(chain.latencySamples)
    })
    // Passages of 1.2 s, so that most of each is read behind its preroll only.
    const list = randomComp(5, 3, FRAMES, 4)
    const heard = readAll(sourceOf(list), FRAMES, [1024])
    expect(nullDepthDb(heard, written(list, through, FRAMES))).toBeLessThan(-100)
  })

  it('a mono take sounds on both sides of a stereo layer, a stereo one on its own', () => {
    const [left, right, mono] = sounds
    const list = [
      passageOf(0, 10_000, { fadeOutFrames: 200 }),
      passageOf(9800, 10_000, { take: 1, fadeInFrames: 200 }),
    ]
    const source = createPassageSource(
      list,
      [
        { open: () => takeInMemory([left, right]), stages: [] },
        { open: () => takeInMemory([mono]), stages: [] },
      ],
      2,
      FS,
    )
    const out = [new Float64Array(20_000), new Float64Array(20_000)]
    for (let at = 0; at < 20_000; at += 1000) {
      source.read(
        at,
        1000,
        out.map((channel) => channel.subarray(at)),
      )
    }
    for (const [c, side] of [left, right].entries())
      expect(nullDepthDb(out[c], written(list, [side, mono], 20_000))).toBeLessThan(-250)
  })
})

describe('reading by position', () => {
  const comps: readonly [string, readonly PlannedPassage[]][] = [
    ['a comp of phrases', randomComp(6, 3, FRAMES, 5)],
    ['a comp of words', randomComp(60, 3, FRAMES, 6)],
    ['splices of 10 ms', randomComp(500, 2, FRAMES, 7)],
    ['one take moved here and there', randomComp(20, 1, FRAMES, 8)],
  ]

  it.each(comps)('any split into blocks gives the same bits: %s', (_name, list) => {
    const whole = readAll(sourceOf(list), FRAMES, [1024])
    for (const sizes of [[1], [480], [3, 1024, 1, 77, 511]])
      expect(identical(readAll(sourceOf(list), FRAMES, sizes), whole)).toBe(true)
  })

  it.each(comps)('any jump gives the bits of reading straight through: %s', (_name, list) => {
    const whole = readAll(sourceOf(list), FRAMES, [1024])
    const source = sourceOf(list)
    const random = createRandom(11)
    const block = [new Float64Array(1024)]
    for (let n = 0; n < 60; n++) {
      const at = Math.floor(random.uniform() * (FRAMES - 1024))
      source.read(at, 1024, block)
      expect(identical(block[0], whole.slice(at, at + 1024))).toBe(true)
    }
  })

  it.each(comps)('a checkpoint brings back every lane: %s', (_name, list) => {
    const whole = readAll(sourceOf(list), FRAMES, [1024])
    const source = sourceOf(list)
    readAll(source, 100_000, [1000])
    const saved = source.memory.map((array) => array.slice())
    readAll(source, FRAMES, [1000])
    for (const [k, array] of saved.entries()) source.memory[k].set(array)
    const block = [new Float64Array(1024)]
    source.read(100_000, 1024, block)
    expect(identical(block[0], whole.slice(100_000, 101_024))).toBe(true)
  })

  it('a jump into a run of minutes differs by nothing that could be heard or written', () => {
    const minute = whiteNoise(60 * FS, 9, 0.5).map(
      (x, i) => x * (Math.floor(i / 30_000) % 2 === 0 ? 0.003 : 1),
    )
    const list = [passageOf(1000, 60 * FS - 1000, { fadeInFrames: 96 })]
    const whole = readAll(sourceOf(list, settings, [minute, minute, minute]), 60 * FS, [1024])
    const source = sourceOf(list, settings, [minute, minute, minute])
    const block = [new Float64Array(1024)]
    for (const at of [20 * FS + 7, 55 * FS, 12 * FS]) {
      source.read(at, 1024, block)
      expect(nullDepthDb(block[0], whole.subarray(at, at + 1024))).toBeLessThan(-200)
    }
  })
})

describe('lanes', () => {
  it('one take that is read through needs one, a crossfade with itself two', () => {
    const through = layOutPassages(cutAt(FRAMES, [1000, 70_000]), 1, FS)
    expect([through.stretches.length, through.lanesOfTake]).toEqual([1, [1]])
    const moved = layOutPassages(randomComp(200, 1, FRAMES, 9), 1, FS)
    expect(moved.lanesOfTake).toEqual([2])
    // Splices that go on in the take share two runs: no preroll for each.
    expect(new Set(moved.stretches.map(({ run }) => run)).size).toBeLessThan(10)
  })

  it('a take that comes back after a while restarts half a second before', () => {
    const list = [passageOf(0, FS, { fadeOutFrames: 96 }), passageOf(4 * FS, FS, { fadeInFrames: 96 })]
    expect(layOutPassages(list, 1, FS).stretches.map(({ run, runFrom }) => [run, runFrom])).toEqual([
      [0, -FS / 2],
      [1, 3.5 * FS],
    ])
  })
})

describe('a whole take', () => {
  const planWith = (changes: Partial<PlannedLayer>) =>
    planOf(FRAMES + 5000, {
      groups: [
        plannedGroup(1, {
          stages: [{ kind: 'opto', settings: defaultStages.opto.settings }] as StageSetup[],
        }),
      ],
      layers: [
        plannedLayer(1, 1, FRAMES, { stages: takeStages(4), offsetSamples: 321, gainDb: -2, ...changes }),
      ],
    })
  const open = () => takeInMemory([sounds[0]])
  const bits = (plan: ReturnType<typeof planWith>) => {
    const { groups, layers } = renderPlan(plan, open)
    return [...(groups.get(1) ?? []), ...(layers.get(1) ?? [])]
  }
  const today = bits(planWith({}))

  it('as one passage, or cut at a hundred places and left, gives the bits that it gives without passages', () => {
    const random = createRandom(3)
    const cuts = Array.from({ length: 100 }, () => Math.floor(random.uniform() * FRAMES))
    for (const list of [[passageOf(0, FRAMES)], cutAt(FRAMES, cuts)]) {
      const heard = bits(planWith({ passages: { furtherTakes: [], list } }))
      expect(heard.map((channel, c) => identical(channel, today[c]))).toEqual([true, true, true])
    }
  })

  it('moved within its layer is the layer at another offset', () => {
    const heard = bits(
      planWith({
        offsetSamples: 300,
        passages: { furtherTakes: [], list: [passageOf(0, FRAMES, { atFrame: 21 })] },
      }),
    )
    expect(heard.map((channel, c) => identical(channel, today[c]))).toEqual([true, true, true])
  })

  it('with a trimmed end gives the same bits cut anywhere', () => {
    const end = FRAMES - 20_000
    const trimmed = (cuts: readonly number[]) => {
      const list = cutAt(end, cuts)
      return [...list.slice(0, -1), { ...(list.at(-1) as PlannedPassage), fadeOutFrames: 960 }]
    }
    const one = bits(planWith({ passages: { furtherTakes: [], list: trimmed([]) } }))
    const many = bits(planWith({ passages: { furtherTakes: [], list: trimmed([1, 777, 50_000, 123_457]) } }))
    expect(many.map((channel, c) => identical(channel, one[c]))).toEqual([true, true, true])
    // At its start the expander has the half second before the take, which is silent.
    expect(nullDepthDb(one[2].subarray(FS, end - 960), today[2].subarray(FS, end - 960))).toBeLessThan(-60)
  })
})

describe('in a plan', () => {
  const layer = plannedLayer(1, 1, FRAMES, {
    stages: takeStages(4),
    offsetSamples: 250,
    passages: {
      furtherTakes: [
        { take: { ...plannedLayer(2, 1, FRAMES).take }, stages: takeStages(-3) },
        { take: { ...plannedLayer(3, 1, FRAMES).take }, stages: [] },
      ],
      list: randomComp(40, 3, FRAMES, 12),
    },
  })
  const plan = planOf(FRAMES, {
    groups: [
      plannedGroup(1, {
        stages: (['de-ess', 'opto', 'ceiling'] as const).map(
          (kind) => ({ kind, settings: defaultStages[kind].settings }) as StageSetup,
        ),
      }),
    ],
    layers: [layer],
  })
  const open = ({ take }: PlannedLayer) => takeInMemory([sounds[Number(take.sha256) - 1]])
  const bounced = renderPlan(plan, open)

  it('the stem is the same bits in any blocks', () => {
    const other = renderPlan(plan, open, [1, 1024, 333])
    expect(identical(other.groups.get(1)![0], bounced.groups.get(1)![0])).toBe(true)
  })

  it('playback across joins nulls with the bounce at -90 dB, from the start and jumped into', () => {
    const engine = createPlaybackEngine({ plan, heard: { kind: 'stack' }, comparedWith: null }, open)
    const heard = new Float32Array(4 * 4800)
    const check = (from: number) => {
      engine.span(from, 4800, heard)
      const wanted = bounced.groups.get(1)![0].subarray(from, from + 4800)
      expect(nullDepthDb(Float64Array.from(heard.subarray(9600, 14_400)), wanted)).toBeLessThan(-90)
    }
    for (let from = 0; from < FS; from += 4800) check(from)
    while (engine.scout());
    for (const from of [200_001, 90_000, 7, 250_000]) check(from)
  })

  it('the dry side has the passages without their stages', () => {
    const engine = createPlaybackEngine(
      { plan, heard: { kind: 'layer', layerId: 1 }, comparedWith: null },
      open,
    )
    const heard = new Float32Array(4 * 48_000)
    engine.span(100_000, 48_000, heard)
    const wanted = written(layer.passages!.list, sounds, FRAMES).subarray(99_750, 147_750)
    expect(nullDepthDb(Float64Array.from(heard.subarray(0, 48_000)), wanted)).toBeLessThan(-140)
  })

  it('a take at another rate is read at the session’s', () => {
    const file = whiteNoise(4 * 44_100, 5, 0.5)
    const audio = () => ({
      format: { channels: 1, frames: file.length, sampleRateHz: 44_100 } as never,
      read: (start: number, frames: number, into: readonly Float64Array[]) =>
        takeInMemory([file]).read(start, frames, into),
      close() {},
    })
    const straight = [new Float64Array(1024)]
    createTakeSource(audio(), FS).read(50_000, 1024, straight)
    const source = createPassageSource(
      [passageOf(48_000, 9600, { atFrame: 0, fadeInFrames: 96, fadeOutFrames: 96 })],
      [{ open: () => createTakeSource(audio(), FS), stages: [] }],
      1,
      FS,
    )
    const heard = [new Float64Array(1024)]
    source.read(2000, 1024, heard)
    expect(identical(heard[0], straight[0])).toBe(true)
  })
})

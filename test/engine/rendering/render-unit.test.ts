// The stack: alignment, pan laws, shared chains that add up, and blocks of any size.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { nullDepthDb, renderPlan } from '../rendering.ts'

const FRAMES = 48_000

const sound = (id: number, frames = FRAMES): Float64Array => {
  // Bursts, so that dynamics have something to do.
  const noise = whiteNoise(frames, id, 0.8)
  return noise.map((x, i) => x * (0.05 + 0.95 * Number(Math.floor(i / 6000 + id) % 3 === 0)))
}

const openSound = (layer: { id: number }): ReturnType<typeof takeInMemory> => takeInMemory([sound(layer.id)])

const setup = <K extends keyof typeof defaultStages>(kind: K): StageSetup =>
  ({ kind, settings: defaultStages[kind].settings }) as StageSetup

const SHARED: StageSetup[] = [
  setup('low-cut'),
  setup('tone'),
  { kind: 'de-ess', settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: -6, rangeDb: 8 } },
  {
    kind: 'drive',
    settings: { amountDb: 9, referenceDbfs: -12, evenPercent: 40, mixPercent: 80, outputDb: 0 },
  },
  setup('opto'),
  setup('ceiling'),
]

describe('with nothing on', () => {
  it('a mono layer at 0 dB comes out bit-identical, at its offset', () => {
    const plan = planOf(FRAMES + 500, { layers: [plannedLayer(1, 1, FRAMES, { offsetSamples: 500 })] })
    const [out] = renderPlan(plan, openSound).layers.get(1) ?? []
    expect(out.slice(500)).toEqual(sound(1))
    expect(out.slice(0, 500).every((x) => x === 0)).toBe(true)
  })

  it('an offset before zero starts the stems earlier and cuts nothing', () => {
    const plan = planOf(FRAMES, {
      startFrame: -240,
      layers: [plannedLayer(1, 1, FRAMES, { offsetSamples: -240 })],
    })
    expect(renderPlan(plan, openSound).layers.get(1)?.[0]).toEqual(sound(1))
  })

  // Pan laws at the centre: -3.0103, -4.5154 and -6.0206 dB a side (equal power, their geometric mean, linear).
  it.each([
    ['minus-3-db', -3.0103],
    ['minus-4.5-db', -4.5154],
    ['minus-6-db', -6.0206],
  ] as const)('%s puts the centre at %f dB in the group stem', (panLaw, centreDb) => {
    const plan = planOf(FRAMES, { panLaw, layers: [plannedLayer(1, 1, FRAMES)] })
    const [left, right] = renderPlan(plan, openSound).groups.get(1) ?? []
    const input = sound(1)
    expect(20 * Math.log10(left[100] / input[100])).toBeCloseTo(centreDb, 3)
    expect(right).toEqual(left)
  })

  it('layer gain and group gain are in the stems of both', () => {
    const plan = planOf(FRAMES, {
      groups: [plannedGroup(1, { gainDb: -2 })],
      layers: [plannedLayer(1, 1, FRAMES, { gainDb: -4, pan: -1 })],
    })
    const { groups, layers } = renderPlan(plan, openSound)
    const wanted = sound(1)[100] * 10 ** (-6 / 20)
    expect(layers.get(1)?.[0][100]).toBeCloseTo(wanted, 12)
    expect(groups.get(1)?.[0][100]).toBeCloseTo(wanted, 12)
    expect(groups.get(1)?.[1].every((x) => x === 0)).toBe(true)
  })
})

describe('latency is taken out', () => {
  it('a chain whose stages have nothing to do leaves a click where it was', () => {
    const click = new Float64Array(FRAMES)
    click[20_000] = 0.25
    const idle: StageSetup[] = [
      { kind: 'de-ess', settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 30, rangeDb: 0 } },
      {
        kind: 'drive',
        settings: { amountDb: 0, referenceDbfs: 0, evenPercent: 0, mixPercent: 0, outputDb: 0 },
      },
      setup('ceiling'),
    ]
    const plan = planOf(FRAMES, {
      groups: [plannedGroup(1, { stages: idle })],
      layers: [plannedLayer(1, 1, FRAMES)],
    })
    const [out] = renderPlan(plan, () => takeInMemory([click])).layers.get(1) ?? []
    // Null residual under -140 dB for neutral stages.
    expect(nullDepthDb(out, click)).toBeLessThan(-140)
  })
})

describe('a chain shared by three groups', () => {
  const layers = [
    plannedLayer(1, 1, FRAMES),
    plannedLayer(2, 2, FRAMES, { pan: -0.7, gainDb: -6 }),
    plannedLayer(3, 2, FRAMES, { pan: 0.7, gainDb: -6 }),
    plannedLayer(4, 3, FRAMES, { pan: 0.3 }),
  ]
  const groups = [plannedGroup(1), plannedGroup(2), plannedGroup(3)]
  const shared = planOf(FRAMES, { sharing: 'shared', sharedStages: SHARED, groups, layers })
  const sumOf = (stems: ReadonlyMap<number, readonly ArrayLike<number>[]>): Float64Array[] =>
    [0, 1].map((side) => {
      const sum = new Float64Array(FRAMES)
      for (const stem of stems.values()) for (let i = 0; i < FRAMES; i++) sum[i] += stem[side][i]
      return sum
    })

  it('F12: the stems add up to the processed stack, null at -90 dB or lower', () => {
    // The reference: every group by itself up to the de-esser; then their sum, as one stereo layer, on a chain of its own.
    const before = renderPlan(
      planOf(FRAMES, { groups: groups.map((group) => ({ ...group, stages: SHARED.slice(0, 3) })), layers }),
      openSound,
    )
    const sound = sumOf(before.groups)
    const layer = plannedLayer(1, 1, FRAMES)
    const stack =
      renderPlan(
        planOf(FRAMES, {
          groups: [plannedGroup(1, { stages: SHARED.slice(3) })],
          layers: [{ ...layer, take: { ...layer.take, channels: 2 } }],
        }),
        () => takeInMemory(sound),
      ).groups.get(1) ?? []
    const stems = sumOf(renderPlan(shared, openSound).groups)
    for (const side of [0, 1]) expect(nullDepthDb(stems[side], stack[side])).toBeLessThan(-90)
  })

  it("de-esses a double's sibilants under the lead's vowels as on a chain of its own", () => {
    const voice = hissedLine(3, FRAMES, 5)
    const lead = voice.samples.slice(0, FRAMES)
    for (const { from, to } of voice.hisses) lead.fill(0, from, to)
    // Late by a vowel, so that its hisses are under the lead's vowels.
    const open = (layer: { id: number }) => takeInMemory([layer.id === 1 ? lead : voice.samples])
    const two = {
      groups: [plannedGroup(1), plannedGroup(2)],
      layers: [
        plannedLayer(1, 1, FRAMES),
        plannedLayer(2, 2, FRAMES, { gainDb: -6, offsetSamples: 0.15 * FRAMES }),
      ],
    }
    const stages = [SHARED[2]]
    const together = renderPlan(planOf(FRAMES, { ...two, sharing: 'shared', sharedStages: stages }), open)
    const apart = renderPlan(
      planOf(FRAMES, { ...two, groups: two.groups.map((group) => ({ ...group, stages })) }),
      open,
    )
    const dry = renderPlan(planOf(FRAMES, two), open)
    for (const of of ['groups', 'layers'] as const) {
      const [sharing, own, none] = [together, apart, dry].map(
        (one) => one[of].get(2)?.[0] ?? new Float64Array(),
      )
      expect(nullDepthDb(sharing, own)).toBeLessThan(-200)
      expect(nullDepthDb(sharing, none)).toBeGreaterThan(-40)
    }
  })

  it('hears the whole stack: alone, a group comes out louder than beside the others', () => {
    const beside = renderPlan(shared, openSound).groups.get(3)?.[0] ?? []
    const alone = renderPlan({ ...shared, layers: [layers[3]] }, openSound).groups.get(3)?.[0] ?? []
    const power = (x: ArrayLike<number>): number => Array.from(x).reduce((sum, one) => sum + one * one, 0)
    expect(10 * Math.log10(power(alone) / power(beside))).toBeGreaterThan(0.5)
  })
})

describe('blocks of any size', () => {
  it('give the same samples, with every stage on', () => {
    const stages = [setup('expander'), setup('trim')]
    const plan = planOf(12_000, {
      groups: [plannedGroup(1, { stages: SHARED }), plannedGroup(2, { stages: SHARED })],
      layers: [plannedLayer(1, 1, 12_000, { stages, pan: -0.4 }), plannedLayer(2, 2, 12_000, { stages })],
    })
    const whole = renderPlan(plan, openSound)
    const odd = renderPlan(plan, openSound, [1, 7, 64, 1000, 333])
    expect(odd).toEqual(whole)
  })
})

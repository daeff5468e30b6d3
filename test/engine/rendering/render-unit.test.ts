// The stack: alignment, pan laws, shared chains that add up, and blocks of any size.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createChain } from '../../../app/dsp/chain.ts'
import { roughStemRemarks } from '../../../app/services/bounces/stem-remarks.ts'
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

// The take alone through the chain is the reference: what process writes.
describe('a centred mono layer meets the chain at its own level', () => {
  const through = (stages: readonly StageSetup[], source: readonly Float64Array[]): Float64Array[] => {
    const chain = createChain(stages, { sampleRateHz: 48_000, laneChannels: [source.length] })
    const out = source.map(() => new Float64Array(FRAMES))
    const block = source.map(() => new Float64Array(1024))
    const late = chain.latencySamples
    for (let at = 0; at < FRAMES + late; at += 1024) {
      const count = Math.min(1024, FRAMES + late - at)
      for (const [c, channel] of block.entries()) {
        for (let i = 0; i < count; i++) channel[i] = at + i < FRAMES ? source[c][at + i] : 0
      }
      chain.process([block], count)
      for (const [c, channel] of block.entries()) {
        for (let i = 0; i < count; i++) if (at + i >= late) out[c][at + i - late] = channel[i]
      }
    }
    return out
  }
  const CHAINS: [string, StageSetup[]][] = [
    ...SHARED.map((stage): [string, StageSetup[]] => [stage.kind, [stage]]),
    ['whole', SHARED],
  ]
  const LAWS = [
    ['minus-3-db', -3.0103],
    ['minus-4.5-db', -4.5154],
    ['minus-6-db', -6.0206],
  ] as const

  it.each(CHAINS)(
    '%s: its stem is the take alone through the chain, under every law, own and shared',
    (_, stages) => {
      const gainDb = -2
      const wanted = through(stages, [sound(1).map((x) => x * 10 ** (gainDb / 20))])[0]
      for (const [panLaw, centreDb] of LAWS) {
        for (const sharing of ['own', 'shared'] as const) {
          const plan = planOf(FRAMES, {
            panLaw,
            sharing,
            sharedStages: sharing === 'shared' ? stages : [],
            groups: [plannedGroup(1, { stages: sharing === 'own' ? stages : [] })],
            layers: [plannedLayer(1, 1, FRAMES, { gainDb })],
          })
          const { groups, layers } = renderPlan(plan, openSound)
          expect(nullDepthDb(layers.get(1)![0], wanted)).toBeLessThan(-120)
          const dropped = wanted.map((x) => x * 10 ** (centreDb / 20))
          for (const side of groups.get(1)!) expect(nullDepthDb(side, dropped)).toBeLessThan(-90)
        }
      }
    },
  )

  it('and so does a stereo layer, which has no drop', () => {
    const source = [sound(1), sound(2)]
    const wanted = through(SHARED, source)
    const layer = plannedLayer(1, 1, FRAMES)
    const plan = planOf(FRAMES, {
      groups: [plannedGroup(1, { stages: SHARED })],
      layers: [{ ...layer, take: { ...layer.take, channels: 2 } }],
    })
    const { groups, layers } = renderPlan(plan, () => takeInMemory(source))
    for (const side of [0, 1]) {
      expect(nullDepthDb(groups.get(1)![side], wanted[side])).toBeLessThan(-120)
      expect(nullDepthDb(layers.get(1)![side], wanted[side])).toBeLessThan(-120)
    }
  })

  it('layers of a group add up to it with their pan, where no stage bends the two sides apart', () => {
    const stages = SHARED.filter(({ kind }) => kind !== 'drive')
    const stereo = plannedLayer(3, 1, FRAMES, { gainDb: -8, pan: 0.2 })
    const plan = planOf(FRAMES, {
      panLaw: 'minus-6-db',
      groups: [plannedGroup(1, { stages })],
      layers: [
        plannedLayer(1, 1, FRAMES),
        plannedLayer(2, 1, FRAMES, { pan: -1, gainDb: -6 }),
        { ...stereo, take: { ...stereo.take, channels: 2 } },
      ],
    })
    const { groups, layers } = renderPlan(plan, (layer) =>
      takeInMemory(layer.id === 3 ? [sound(3), sound(4)] : [sound(layer.id)]),
    )
    const [one, two, three] = [1, 2, 3].map((id) => layers.get(id)!)
    // Linear law: 0.5 and 0.5, 1 and 0. Balance 0.2 to the right: a quarter sine of 0.8 on the left, 1 on the right.
    const left = one[0].map((x, i) => 0.5 * x + two[0][i] + Math.sin(0.4 * Math.PI) * three[0][i])
    const right = one[0].map((x, i) => 0.5 * x + three[1][i])
    expect(nullDepthDb(groups.get(1)![0], left)).toBeLessThan(-90)
    expect(nullDepthDb(groups.get(1)![1], right)).toBeLessThan(-90)
  })

  it.each([
    ['centred, behind drive they do', 0, true],
    ['panned, behind drive they do not, which is said', 0.6, false],
  ] as const)('%s', (_, pan, isExact) => {
    const plan = planOf(FRAMES, {
      groups: [plannedGroup(1, { stages: SHARED })],
      layers: [plannedLayer(1, 1, FRAMES), plannedLayer(2, 1, FRAMES, { pan, gainDb: -4 })],
    })
    const { groups, layers } = renderPlan(plan, openSound)
    // Equal power: cosine and sine of the angle.
    const right = [0, pan].map((position) => Math.sin(((position + 1) * Math.PI) / 4))
    const sum = layers.get(1)![0].map((x, i) => right[0] * x + right[1] * layers.get(2)![0][i])
    expect(nullDepthDb(groups.get(1)![1], sum) < -90).toBe(isExact)
    expect(roughStemRemarks(plan).length).toBe(isExact ? 0 : 1)
  })

  it('its stem keeps to the ceiling', () => {
    for (const [panLaw] of LAWS) {
      const stages: StageSetup[] = [
        { kind: 'ceiling', settings: { ceilingDbtp: -6, lookAheadMs: 2, releaseMs: 80 } },
      ]
      const plan = planOf(FRAMES, {
        panLaw,
        groups: [plannedGroup(1, { stages })],
        layers: [plannedLayer(1, 1, FRAMES, { gainDb: 6 })],
      })
      const peak = renderPlan(plan, openSound)
        .layers.get(1)![0]
        .reduce((most, x) => Math.max(most, Math.abs(x)), 0)
      expect(20 * Math.log10(peak)).toBeLessThanOrEqual(-6)
    }
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
    // Mono layers meet the chain above their stems by the law's drop at the centre, 3.0103 dB; a stereo layer at its own level.
    const drop = Math.SQRT1_2
    const before = renderPlan(
      planOf(FRAMES, { groups: groups.map((group) => ({ ...group, stages: SHARED.slice(0, 3) })), layers }),
      openSound,
    )
    const sound = sumOf(before.groups).map((side) => side.map((x) => x / drop))
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
    for (const side of [0, 1])
      expect(
        nullDepthDb(
          stems[side],
          Float64Array.from(stack[side], (x) => drop * x),
        ),
      ).toBeLessThan(-90)
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

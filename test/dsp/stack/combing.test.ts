// Copies among layers: a delay of 1 ms has its notches at 500, 1500, 2500 Hz (1 + exp(-j w tau)), an inverted one at
// 1000, 2000 Hz; a copy 6.02 dB down has peaks over notches of (1 + a) / (1 - a) = 9.54 dB.

import { describe, expect, it } from 'vitest'
import { type FoundCopy, findCopies } from '../../../app/dsp/stack/combing.ts'
import { createClipKeeper } from '../../../app/dsp/stack/layer-clips.ts'
import { signalsOf } from '../../../app/dsp/stack/stack-layers.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { voiceTake } from '../../signals/voice-takes.ts'
import { layersOf, RATE, type TestLayer } from './measured-stack.ts'

const voice = voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 7).samples.subarray(0, 6 * RATE)
const other = voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 11).samples.subarray(0, 6 * RATE)

const late = (samples: Float64Array, frames: number, gain: number): Float64Array =>
  samples.map((_, n) => gain * (samples[n - frames] ?? 0))

function copiesOf(layers: readonly TestLayer[]): FoundCopy[] {
  const described = layersOf(layers)
  const spans = [0, 1, 2].map((i) => ({ from: 2 * i * RATE, to: 2 * (i + 1) * RATE }))
  const keeper = createClipKeeper(RATE, signalsOf(described), layers.length, spans)
  for (let at = 0; at < 6 * RATE; at += 1000) {
    keeper.add(
      layers.map(({ samples }) => samples.subarray(at, at + 1000)),
      1000,
    )
  }
  return findCopies(keeper.clips(), described, [], RATE, () => {})
}

/** One pitch with a strong fundamental, and harmonics whose phases each vowel has for itself. */
const vowel = (seed: number): Float64Array => {
  const phases = Array.from({ length: 25 }, (_, h) => (h === 0 ? 0 : 7 * Math.sin(seed * 12.9898 * (h + 1))))
  return Float64Array.from({ length: 6 * RATE }, (_, n) =>
    phases.reduce(
      (sum, phase, h) =>
        sum + (h === 0 ? 0.1 : 0.01) * Math.sin((2 * Math.PI * 130 * (h + 1) * n) / RATE + phase),
      0,
    ),
  )
}

it('vowels of one pitch are no copies', () => {
  expect(copiesOf([{ samples: vowel(1), isLead: true }, { samples: vowel(2) }])).toEqual([])
})

describe.each([
  ['a voice', voice],
  ['noise', whiteNoise(6 * RATE, 3)],
])('a copy of %s', (_, sound) => {
  it('1 ms late: notches at odd multiples of 500 Hz', () => {
    const [copy] = copiesOf([{ samples: sound, isLead: true }, { samples: late(sound, 48, 0.5) }])
    expect(copy.layers).toEqual([1, 0])
    expect(copy.lagSeconds).toBe(0.001)
    expect(copy.isInverted).toBe(false)
    expect(copy.notchesHz.slice(0, 4)).toEqual([500, 1500, 2500, 3500])
    expect(Math.abs(copy.depthDb - 9.542)).toBeLessThan(0.3)
    expect(copy.places).toHaveLength(3)
  })

  it('inverted: notches at multiples of 1000 Hz', () => {
    const [copy] = copiesOf([{ samples: sound }, { samples: late(sound, 48, -0.9) }])
    expect(copy.isInverted).toBe(true)
    expect(copy.notchesHz.slice(0, 3)).toEqual([1000, 2000, 3000])
  })

  it('at opposite sides: only in mono', () => {
    const [copy] = copiesOf([
      { samples: sound, gains: [1, 0] },
      { samples: late(sound, 96, 1), gains: [0, 1] },
    ])
    expect(copy.depthDb).toBeLessThan(1)
    expect(copy.monoDepthDb).toBeGreaterThan(20)
  })

  it('40 ms late: no comb', () => {
    expect(copiesOf([{ samples: sound }, { samples: late(sound, 1920, 1) }])).toEqual([])
  })
})

it('a double of the same line is no copy', () => {
  expect(copiesOf([{ samples: voice, isLead: true }, { samples: other }])).toEqual([])
})

it('a copy through the song comes before a deeper one in one phrase', () => {
  const through = late(voice, 48, 0.5)
  const once = late(voice, 96, 0.9).map((x, n) => (n < 2 * RATE ? x : 0.9 * other[n]))
  const copies = copiesOf([{ samples: voice, isLead: true }, { samples: once }, { samples: through }])
  const withLead = copies.filter(({ layers }) => layers.includes(0))
  expect(withLead.map(({ lagSeconds, places }) => [lagSeconds, places.length])).toEqual([
    [0.001, 3],
    [0.002, 1],
  ])
  expect(withLead[1].depthDb).toBeGreaterThan(withLead[0].depthDb)
})

import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { gainAtRise } from '../../../app/dsp/passages/join-law.ts'
import { likenessOf, type Passage, renderPassages } from '../../../app/dsp/phrases/timing/passages.ts'
import { planMoves, type TimedPhrase } from '../../../app/dsp/phrases/timing/plan-moves.ts'
import { differingSamples } from '../../fidelity/rows.ts'
import { addWhiteNoise } from '../../signals/checking.ts'

const RATE_HZ = 48_000
const noise = addWhiteNoise(new Float64Array(10 * RATE_HZ), -20, 4)

const readNoise = (start: number, frames: number, into: Float64Array[], at: number): void => {
  for (let n = 0; n < frames; n++) into[0][at + n] = noise[start + n] ?? 0
}

function render(passages: readonly Passage[], blocks: readonly number[]): Float64Array {
  const out = new Float64Array(noise.length)
  let at = 0
  for (let k = 0; at < out.length; k++) {
    const count = Math.min(blocks[k % blocks.length], out.length - at)
    const into = [new Float64Array(count)]
    renderPassages(passages, readNoise, at, count, into, [new Float64Array(count)])
    out.set(into[0], at)
    at += count
  }
  return out
}

/** Phrases of 1.5 s every 2.5 s, each late by so many ms at all of its onsets. */
const phrasesLateBy = (...ms: (number | null)[]): TimedPhrase[] =>
  ms.map((late, i) => ({
    fromS: 0.5 + 2.5 * i,
    toS: 2 + 2.5 * i,
    line:
      late === null
        ? null
        : {
            onsets: [0.1, 0.6, 1.2].map((s) => ({ atS: 0.5 + 2.5 * i + s, offsetS: late / 1000 })),
            offsetS: late / 1000,
            confidence: 1,
            isSpare: false,
          },
  }))

const plan = (phrases: readonly TimedPhrase[], tightness = 1) =>
  planMoves(
    { frames: noise.length, sampleRateHz: RATE_HZ, phrases, breaths: [], powerAt: () => 1 },
    tightness,
  )

describe('a line of passages', () => {
  it('reads the take on where nothing moves', () => {
    expect(plan(phrasesLateBy(0, 2, null)).passages).toHaveLength(1)
    expect(differingSamples(render(plan(phrasesLateBy(0)).passages, [1024]), noise)).toBe(0)
  })

  it('keeps the samples of each phrase, shifted by whole frames, and fades only in pauses', () => {
    const phrases = phrasesLateBy(40, -25, null)
    const { moves, passages } = plan(phrases)
    expect(moves.map(({ shift }) => shift)).toEqual([-1920, 1200, 0])
    const out = render(passages, [1024])
    for (const [i, { fromS, toS }] of phrases.entries()) {
      const [from, to] = [fromS, toS].map((s) => Math.round(s * RATE_HZ))
      const { shift } = moves[i]
      expect(differingSamples(out.slice(from + shift, to + shift), noise.slice(from, to))).toBe(0)
    }
    expect(passages.every(({ fadeFrames }, k) => k === 0 || fadeFrames >= 0.002 * RATE_HZ)).toBe(true)
  })

  it('gives the same samples for any split into blocks', () => {
    const { passages } = plan(phrasesLateBy(40, -25, 60))
    const random = createRandom(3)
    const blocks = Array.from({ length: 40 }, () => 1 + Math.floor(3000 * random.uniform()))
    expect(differingSamples(render(passages, blocks), render(passages, [1024]))).toBe(0)
  })

  it('covers the whole take without holes and overlaps', () => {
    const { passages } = plan(phrasesLateBy(300, -700, 450))
    let place = 0
    for (const passage of passages) {
      expect(passage.placeFrame).toBe(place)
      place += passage.frames
    }
    expect(place).toBe(noise.length)
  })
})

describe('the power of a fade', () => {
  // Closed form: the power of (1 - s) a + s b is (1 - s)^2 + s^2 + 2 r s (1 - s); equal power and equal gain are its ends.
  it.each([0, 0.3, 0.7, 1])('of two noises with correlation %d stays within 0.3 dB', (r) => {
    const a = addWhiteNoise(new Float64Array(RATE_HZ), 0, 1)
    const other = addWhiteNoise(new Float64Array(RATE_HZ), 0, 2)
    const b = a.map((x, n) => r * x + Math.sqrt(1 - r * r) * other[n])
    const likeness = likenessOf(a, b) / 1000
    for (const rise of [0.1, 0.25, 0.5, 0.8]) {
      const [goes, comes] = [gainAtRise(1 - rise, likeness), gainAtRise(rise, likeness)]
      const power = a.reduce((sum, x, n) => sum + (goes * x + comes * b[n]) ** 2, 0) / a.length
      expect(Math.abs(10 * Math.log10(power))).toBeLessThan(0.3)
    }
  })
})

describe('a phrase is moved', () => {
  it('by the share that the tightness says', () => {
    expect(plan(phrasesLateBy(50), 0.7).moves[0].shift).toBe(-1680)
    expect(plan(phrasesLateBy(50), 0).moves[0]).toEqual({ shift: 0, left: 'in-time' })
  })

  it('no farther than the pause before it has room', () => {
    const close = phrasesLateBy(0, 400)
    const { moves } = plan([close[0], { ...close[1], fromS: 2.2 }])
    expect(moves[1].shift).toBeLessThan(0)
    expect(-moves[1].shift).toBeLessThan(0.2 * RATE_HZ)
  })

  it('with the breath before it and with what sounds like breath behind it', () => {
    const phrases = phrasesLateBy(0, 100)
    const breaths = [
      { fromS: 2, toS: 2.3 },
      { fromS: 2.6, toS: 2.95 },
    ]
    const take = { frames: noise.length, sampleRateHz: RATE_HZ, phrases, breaths, powerAt: () => 1 }
    const join = planMoves(take, 1).passages[1].sourceFrame / RATE_HZ
    expect(join).toBeGreaterThan(2.3)
    expect(join).toBeLessThan(2.6)
  })

  it('not at all where its onsets would not come closer', () => {
    const [phrase] = phrasesLateBy(0)
    const spread = [-60, 1, 60].map((ms, i) => ({ atS: 1 + i / 2, offsetS: ms / 1000 }))
    const odd = { ...phrase, line: { onsets: spread, offsetS: 0.03, confidence: 1, isSpare: false } }
    expect(plan([odd]).moves[0]).toEqual({ shift: 0, left: 'in-time' })
  })

  it('not without a line, as a spare, when unsure or more than a second away', () => {
    const [phrase] = phrasesLateBy(50)
    const line = phrase.line!
    const leftOf = (changes: Partial<typeof line> | null) =>
      plan([{ ...phrase, line: changes === null ? null : { ...line, ...changes } }]).moves[0].left
    expect(leftOf(null)).toBe('no-line')
    expect(leftOf({ isSpare: true })).toBe('repeated')
    expect(leftOf({ confidence: 0.1 })).toBe('unsure')
    expect(leftOf({ offsetS: 1.5 })).toBe('too-far')
  })
})

// Words about invented voices whose truth is known. Rates of false words are counted, not assumed.

import { describe, expect, it } from 'vitest'
import { createRandom, type Random } from '../../../app/dsp/maths/random.ts'
import { floorOf, SEASON_FIGURES, type SeasonFigure } from '../../../app/dsp/seasons/figures.ts'
import {
  type SeasonSession,
  type VoiceChange,
  voiceChangesOf,
} from '../../../app/dsp/seasons/voice-changes.ts'

const VOICES = 500
const SESSIONS = 12
const LOOKS = [7, 8, 9, 10, 11, 12]

interface Planted {
  /** Correlation of a session with the one before. */
  readonly memory?: number
  /** Standard deviation from session to session, in floors (1 semitone, 2 dB). */
  readonly spread?: number
  readonly add?: (figure: SeasonFigure, session: number) => number
  readonly mic?: (session: number) => string
  readonly sessions?: number
  /** After how many sessions the voice is looked at. */
  readonly looks?: readonly number[]
}

function historyOf(random: Random, planted: Planted): SeasonSession[] {
  const { memory = 0, spread = 1, add = () => 0, mic = () => 'a', sessions = SESSIONS } = planted
  const before = new Map<SeasonFigure, number>()
  return Array.from({ length: sessions }, (_, at) => ({
    mic: mic(at),
    values: Object.fromEntries(
      SEASON_FIGURES.map((figure) => {
        const fresh = random.normal()
        const now = at === 0 ? fresh : memory * before.get(figure)! + Math.sqrt(1 - memory ** 2) * fresh
        before.set(figure, now)
        return [figure, now * spread * floorOf(figure) + add(figure, at)]
      }),
    ),
  }))
}

/** What was said of each voice at any look, from the seventh session on. */
function saidOf(planted: Planted, seed: number): VoiceChange[][] {
  const random = createRandom(seed)
  return Array.from({ length: VOICES }, () => {
    const history = historyOf(random, planted)
    return (planted.looks ?? LOOKS).flatMap((sessions) => voiceChangesOf(history.slice(0, sessions)))
  })
}

const share = (voices: readonly VoiceChange[][], isMeant: (change: VoiceChange) => boolean): number =>
  voices.filter((changes) => changes.some(isMeant)).length / voices.length

describe('words about a voice over its sessions', () => {
  it('are false for at most 5 % of the voices in which nothing changes, after twelve sessions', () => {
    const always = share(saidOf({}, 1), () => true)
    const wide = share(saidOf({ spread: 3 }, 2), () => true)
    console.info(`false words, nothing planted: ${always} of voices, with three floors of spread ${wide}`)
    expect(always).toBeLessThanOrEqual(0.05)
    expect(wide).toBeLessThanOrEqual(0.05)
  })

  it('are false more often where sessions resemble those before: known, and bounded', () => {
    const mild = share(saidOf({ memory: 0.3 }, 3), () => true)
    console.info(`false words, correlation 0.3: ${mild} of voices`)
    expect(mild).toBeLessThanOrEqual(0.1)
  })

  it('never call a change of mic a change of the voice', () => {
    // 6 dB in every figure that the mic is part of, at the same session.
    const swapped = saidOf(
      {
        add: (figure, at) => (at >= 6 && !figure.startsWith('pitch') ? 6 : 0),
        mic: (at) => (at >= 6 ? 'b' : 'a'),
      },
      4,
    )
    const false_ = share(swapped, () => true)
    console.info(`words about a swapped mic: ${false_} of voices`)
    expect(false_).toBeLessThanOrEqual(0.05)
    // The same step on one mic is found, so the test could fail.
    const onOneMic = saidOf(
      {
        spread: 0.5,
        sessions: 20,
        looks: [20],
        add: (figure, at) => (figure === 'air' && at >= 10 ? 6 : 0),
      },
      5,
    )
    const found = share(onOneMic, ({ figure, kind }) => figure === 'air' && kind === 'step')
    console.info(
      `a step of 6 dB after ten of twenty sessions, 1 dB from session to session: ${found} of voices`,
    )
    expect(found).toBeGreaterThan(0.8)
  })

  it('name a trend with its size, and nothing else', () => {
    // A semitone a session with half a semitone from session to session.
    const rising = saidOf({ spread: 0.5, add: (figure, at) => (figure === 'pitch' ? at : 0) }, 6)
    const pitch = share(rising, ({ figure }) => figure === 'pitch')
    const others = share(rising, ({ figure }) => figure !== 'pitch')
    console.info(`a trend of two spreads a session: ${pitch} of voices; others named: ${others}`)
    expect(pitch).toBeGreaterThan(0.95)
    expect(others).toBeLessThanOrEqual(0.05)
    const last = rising.flatMap((changes) => changes.findLast(({ figure }) => figure === 'pitch') ?? [])
    const trends = last.filter((change) => change.kind === 'trend' && change.sessions === SESSIONS)
    expect(trends.length).toBeGreaterThan(last.length / 2)
    const sizes = trends
      .map((change) => (change.kind === 'trend' ? change.change : 0))
      .toSorted((a, b) => a - b)
    expect(sizes[sizes.length >> 1]).toBeCloseTo(11, 0)
  })

  it('wait for the next session, and for a change of twice the floor', () => {
    const values = (pitch: number): SeasonSession => ({ mic: 'a', values: { pitch } })
    const rising = [0, 1, 2, 3, 4, 5, 6].map(values)
    expect(voiceChangesOf(rising.slice(0, 6))).toEqual([])
    expect(voiceChangesOf(rising)).toEqual([
      { kind: 'trend', figure: 'pitch', sessions: 7, change: 6, withinMics: false },
    ])
    expect(voiceChangesOf([0, 0.3, 0.6, 0.9, 1.2, 1.5, 1.8].map(values))).toEqual([])
    expect(voiceChangesOf([0, 0.4, 0.8, 1.2, 1.6, 2, 2.4].map(values))).toHaveLength(1)
    // Air is in six sessions only now: what pitch showed before does not confirm it.
    const airToo = rising.map(({ mic, values: { pitch } }, at) => ({
      mic,
      values: at === 0 ? { pitch: pitch! } : { pitch: pitch!, air: 3 * at },
    }))
    expect(voiceChangesOf(airToo).map(({ figure }) => figure)).toEqual(['pitch'])
    // A trend that the last session does not bear out is not said.
    expect(voiceChangesOf([...rising.slice(0, 6), values(-4)])).toEqual([])
  })
})

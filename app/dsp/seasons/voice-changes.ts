// What may be said in words of how a voice has changed over its sessions. The picture shows everything; words are
// few, because a voice is looked at after every session and ten figures at a time.

import { discoveriesOf } from './false-discovery.ts'
import { dependsOnMic, floorOf, SEASON_FIGURES, type SeasonFigure } from './figures.ts'
import { type SeasonPoint, trendOf } from './mann-kendall.ts'
import { type Step, stepOf } from './step.ts'
import { medianOf } from './usual.ts'

/** A session with the values that are compared; `mic` tells mics apart, and what is not known counts as one mic. */
export interface SeasonSession {
  readonly mic: string
  readonly values: Readonly<Partial<Record<SeasonFigure, number>>>
}

/** Indices are those of the sessions; dB or semitones. */
export type VoiceChange =
  | {
      readonly kind: 'trend'
      readonly figure: SeasonFigure
      readonly sessions: number
      readonly change: number
      /** Whether only sessions on one mic were compared with one another. */
      readonly withinMics: boolean
    }
  | {
      readonly kind: 'step'
      readonly figure: SeasonFigure
      readonly sessions: number
      /** The first session after the step. */
      readonly since: number
      readonly difference: number
    }

/** The smallest two-sided p of five sessions is 0.017, of six 0.003: fewer cannot tell (Kendall 1975). */
const FEWEST_SESSIONS = 6
/** Of the named changes, at most this share is expected to be chance. */
const FALSE_RATE = 0.02
/** A change is at least this many times the normal deviation from session to session. */
const FLOORS = 2

/** What the sessions show and showed already before the last one, in the order of the figures. */
export function voiceChangesOf(sessions: readonly SeasonSession[]): readonly VoiceChange[] {
  const before = candidatesOf(sessions.slice(0, -1))
  return candidatesOf(sessions).filter((now) =>
    before.some(
      (then) =>
        then.figure === now.figure &&
        then.kind === now.kind &&
        Math.sign(sizeOf(then)) === Math.sign(sizeOf(now)),
    ),
  )
}

const sizeOf = (change: VoiceChange): number => (change.kind === 'trend' ? change.change : change.difference)

/** Clear changes of one look at the sessions: at most one for each figure. */
function candidatesOf(sessions: readonly SeasonSession[]): readonly VoiceChange[] {
  const trends = SEASON_FIGURES.flatMap((figure) => trendTestOf(figure, sessions) ?? [])
  const steps = SEASON_FIGURES.flatMap((figure) => stepTestOf(figure, sessions) ?? [])
  const rising = kept(trends)
  const stepped = kept(steps)
  return SEASON_FIGURES.flatMap((figure) => {
    const trend = rising.find((one) => one.change.figure === figure)
    const step = stepped.find((one) => one.change.figure === figure)
    if (trend === undefined || step === undefined) return (trend ?? step)?.change ?? []
    // Each test fires on the other's change as well; the one that leaves less unexplained is said.
    return step.left < trend.left ? step.change : trend.change
  })
}

interface Tested {
  readonly change: VoiceChange
  readonly p: number
  /** Mean absolute deviation that the change leaves. */
  readonly left: number
}

const kept = (tests: readonly Tested[]): readonly Tested[] => {
  const holds = discoveriesOf(
    tests.map(({ p }) => p),
    FALSE_RATE,
  )
  return tests.filter(
    ({ change }, i) => holds[i] && Math.abs(sizeOf(change)) >= FLOORS * floorOf(change.figure),
  )
}

/** The sessions that have the figure, apart by mic where the mic is part of it. */
function strataOf(figure: SeasonFigure, sessions: readonly SeasonSession[]): SeasonPoint[][] {
  const strata = new Map<string, SeasonPoint[]>()
  for (const [at, { mic, values }] of sessions.entries()) {
    const value = values[figure]
    if (value === undefined) continue
    const stratum = dependsOnMic(figure) ? mic : ''
    strata.set(stratum, [...(strata.get(stratum) ?? []), { at, value }])
  }
  return [...strata.values()].filter((points) => points.length > 1)
}

function trendTestOf(figure: SeasonFigure, sessions: readonly SeasonSession[]): Tested | null {
  const strata = strataOf(figure, sessions)
  const count = strata.reduce((sum, points) => sum + points.length, 0)
  const trend = count < FEWEST_SESSIONS ? null : trendOf(strata)
  if (trend === null) return null
  const { slope, change, p } = trend
  return {
    change: { kind: 'trend', figure, sessions: count, change, withinMics: strata.length > 1 },
    p,
    left: meanDeviation(strata.map((points) => points.map(({ at, value }) => value - slope * at))),
  }
}

/** A step is looked for on the mic of the last session alone, where the mic is part of the figure. */
function stepTestOf(figure: SeasonFigure, sessions: readonly SeasonSession[]): Tested | null {
  const mic = sessions.at(-1)?.mic
  const points = sessions.flatMap((session, at) => {
    const value = session.values[figure]
    return value === undefined || (dependsOnMic(figure) && session.mic !== mic) ? [] : { at, value }
  })
  const values = points.map(({ value }) => value)
  const step: Step | null = values.length < FEWEST_SESSIONS ? null : stepOf(values)
  if (step === null) return null
  return {
    change: {
      kind: 'step',
      figure,
      sessions: values.length,
      since: points[step.at].at,
      difference: step.difference,
    },
    p: step.p,
    left: meanDeviation([values.slice(0, step.at), values.slice(step.at)]),
  }
}

/** Around the median of each part. */
function meanDeviation(parts: readonly (readonly number[])[]): number {
  const deviations = parts.flatMap((part) => {
    const median = medianOf(part)
    return part.map((value) => Math.abs(value - median))
  })
  return deviations.reduce((sum, one) => sum + one, 0) / deviations.length
}

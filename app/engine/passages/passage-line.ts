// What a layer's passages ask for: which span of which take sounds when, and on which lane it is read.
//
// A stretch is what is read from one take without a jump: passages that go on or overlap at one distance between take and
// layer. A run is what a lane reads forward from one restart; stretches that follow soon after one another in the take
// share it. Both follow from the passages alone, so that the samples do not depend on blocks or jumps.

import { areOne, type PlannedPassage } from '../../contract/passages/passage.ts'

/** A lane restarts this long before a run, so that expander and correction have settled (ours). */
const PREROLL_S = 0.5

/** Frames of a take that sound without a jump, and the passages that do. */
export interface Stretch {
  readonly take: number
  /** Index among the lanes of the take. */
  readonly lane: number
  /** Number of the run among all of the layer, and the frame of the take at which it restarts. */
  readonly run: number
  readonly runFrom: number
  /** Layer time of the take's first frame. */
  readonly shift: number
  /** In layer time. */
  readonly from: number
  readonly to: number
  /** In order; only neighbours overlap. */
  readonly passages: readonly PlannedPassage[]
}

/** Stretches in order of their starts, and how many lanes each take needs. */
export interface PassageLine {
  readonly stretches: readonly Stretch[]
  readonly lanesOfTake: readonly number[]
}

/** Passages that go on without a fade or another gain as one, because they are read through. */
export function joinedUp(passages: readonly PlannedPassage[]): readonly PlannedPassage[] {
  const joined: PlannedPassage[] = []
  for (const passage of passages) {
    const last = joined.at(-1)
    if (last !== undefined && areOne(last, passage)) {
      const { fadeOutFrames, fadeOutCorrelation } = passage
      joined[joined.length - 1] = {
        ...last,
        frames: last.frames + passage.frames,
        fadeOutFrames,
        fadeOutCorrelation,
      }
    } else joined.push(passage)
  }
  return joined
}

/** @param passages in order, only neighbours overlap */
export function layOutPassages(
  passages: readonly PlannedPassage[],
  takes: number,
  sampleRateHz: number,
): PassageLine {
  const preroll = Math.ceil(PREROLL_S * sampleRateHz)
  const lanes: Lane[][] = Array.from({ length: takes }, () => [])
  let runs = 0
  const stretches = stretchesOf(joinedUp(passages)).map((stretch): Stretch => {
    const sourceFrom = stretch.from - stretch.shift
    const ofTake = lanes[stretch.take]
    const free = ofTake.filter((lane) => lane.busyTo <= stretch.from)
    // Going on costs the frames between, a restart the preroll.
    const goesOn = free
      .filter((lane) => lane.readTo <= sourceFrom && sourceFrom - lane.readTo <= preroll)
      .reduce<Lane | null>((best, lane) => (best === null || lane.readTo > best.readTo ? lane : best), null)
    const lane = goesOn ?? free[0] ?? { index: ofTake.length, run: 0, runFrom: 0, readTo: 0, busyTo: 0 }
    if (lane.index === ofTake.length) ofTake.push(lane)
    if (goesOn === null) {
      lane.run = runs++
      lane.runFrom = sourceFrom - preroll
    }
    lane.readTo = stretch.to - stretch.shift
    lane.busyTo = stretch.to
    return { ...stretch, lane: lane.index, run: lane.run, runFrom: lane.runFrom }
  })
  return { stretches, lanesOfTake: lanes.map((ofTake) => ofTake.length) }
}

interface Lane {
  readonly index: number
  run: number
  runFrom: number
  /** Frame of the take up to which it has read. */
  readTo: number
  /** Layer time up to which it sounds. */
  busyTo: number
}

function stretchesOf(passages: readonly PlannedPassage[]): Omit<Stretch, 'lane' | 'run' | 'runFrom'>[] {
  const found: { take: number; shift: number; from: number; to: number; passages: PlannedPassage[] }[] = []
  for (const passage of passages) {
    const { take, atFrame, sourceFrame, frames } = passage
    const shift = atFrame - sourceFrame
    const last = found.at(-1)
    if (last !== undefined && last.take === take && last.shift === shift && atFrame <= last.to) {
      last.to = Math.max(last.to, atFrame + frames)
      last.passages.push(passage)
    } else found.push({ take, shift, from: atFrame, to: atFrame + frames, passages: [passage] })
  }
  return found
}

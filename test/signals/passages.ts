// Lines of passages for tests: seeded comps of several takes, with the fades that joins have.

import type { PlannedPassage } from '../../app/contract/passages/passage.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'

/** A passage without fades at full level; by default where it is in its take. */
export function passageOf(
  sourceFrame: number,
  frames: number,
  changes: Partial<PlannedPassage> = {},
): PlannedPassage {
  return {
    take: 0,
    sourceFrame,
    atFrame: sourceFrame,
    frames,
    fadeInFrames: 0,
    fadeInCorrelation: 0,
    fadeOutFrames: 0,
    fadeOutCorrelation: 0,
    gainDb: 0,
    ...changes,
  }
}

/** The whole of a take, cut at these frames and left as it was. */
export const cutAt = (frames: number, cuts: readonly number[]): PlannedPassage[] => {
  const edges = [0, ...[...new Set(cuts)].filter((at) => at > 0 && at < frames).sort((a, b) => a - b), frames]
  return edges.slice(1).map((to, k) => passageOf(edges[k], to - edges[k]))
}

/**
 * A comp of several takes of one length: passages that fade into one another, with moves of up to 20 ms between take and
 * layer, and now and then a gap.
 */
export function randomComp(
  count: number,
  takes: number,
  frames: number,
  seed: number,
  sampleRateHz = 48_000,
): PlannedPassage[] {
  const random = createRandom(seed)
  const least = Math.ceil(0.002 * sampleRateHz)
  const pitch = Math.floor((frames - 4 * least) / count)
  const longest = Math.min(Math.round(0.02 * sampleRateHz), Math.floor(pitch / 4))
  const between = (from: number, to: number) => from + Math.floor(random.uniform() * (to - from + 1))
  const joins = Array.from({ length: count + 1 }, () => ({
    fade: between(least, longest),
    correlation: random.uniform(),
    gap: random.uniform() < 0.1 ? between(0, longest) : -1,
  }))
  return Array.from({ length: count }, (_, k) => {
    const [before, after] = [joins[k], joins[k + 1]]
    // A join takes place around k * pitch: the one before ends after it, the next begins at it, or after a gap.
    const from = least + k * pitch + Math.max(0, before.gap)
    const to = least + (k + 1) * pitch + (after.gap < 0 ? after.fade : 0)
    const move = between(-longest, longest)
    const sourceFrame = Math.max(0, Math.min(frames - (to - from), from + move))
    return passageOf(sourceFrame, to - from, {
      take: between(0, takes - 1),
      atFrame: from,
      fadeInFrames: before.fade,
      fadeInCorrelation: before.correlation,
      fadeOutFrames: after.fade,
      fadeOutCorrelation: after.correlation,
      gainDb: between(-6, 3),
    })
  })
}

// A layer that is a line of passages, read like a take: each take through its own stages, faded and added up behind them.

import type { PlannedPassage } from '../../contract/passages/passage.ts'
import { gainFromDb } from '../../dsp/maths/decibels.ts'
import { gainAtRise, riseAt } from '../../dsp/passages/join-law.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import type { StageSetup } from '../../dsp/stages/settings.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { layOutPassages, type Stretch } from './passage-line.ts'
import { createTakeLane } from './take-lane.ts'

/** Takes of the layer, by the numbers that the passages have. */
interface TakeOfLine {
  /** Opens the take; called once for each lane. */
  open(): TakeSource
  readonly stages: readonly StageSetup[]
}

/**
 * Position 0 is the layer's offset. Reading jumps as a take's reading does; the memory holds where each lane is.
 * @param channels of the layer; a mono take among stereo ones sounds on both sides
 */
export function createPassageSource(
  passages: readonly PlannedPassage[],
  takes: readonly TakeOfLine[],
  channels: number,
  sampleRateHz: number,
): TakeSource & { readonly memory: readonly Float64Array[] } {
  const { stretches, lanesOfTake } = layOutPassages(passages, takes.length, sampleRateHz)
  const sources: TakeSource[] = []
  const lanes = takes.map(({ open, stages }, t) =>
    Array.from({ length: lanesOfTake[t] }, () => {
      const source = open()
      sources.push(source)
      return createTakeLane(source, stages, sampleRateHz)
    }),
  )
  const gains = new Map(passages.map(({ gainDb }) => [gainDb, gainFromDb(gainDb)]))
  const block: Channels = Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))

  const addStretch = (stretch: Stretch, from: number, to: number, start: number, into: Channels): void => {
    const lane = lanes[stretch.take][stretch.lane]
    const { shift, run, runFrom } = stretch
    lane.read(run, runFrom, from - shift, to - from, lane.channels === 1 ? [block[0]] : block)
    for (let k = firstEndingAfter(stretch.passages, from); k < stretch.passages.length; k++) {
      const passage = stretch.passages[k]
      if (passage.atFrame >= to) break
      const gain = gains.get(passage.gainDb) as number
      for (let c = 0; c < channels; c++) {
        const sound = block[lane.channels === 1 ? 0 : c]
        addPassage(passage, gain, sound, from, to, into[c], start)
      }
    }
  }

  return {
    channels,
    frames: stretches.reduce((latest, { to }) => Math.max(latest, to), 0),
    memory: lanes.flat().flatMap(({ memory }) => memory),
    read(startFrame, frames, into) {
      for (const channel of into) channel.fill(0, 0, frames)
      const end = startFrame + frames
      for (let k = firstEndingAfter(stretches, startFrame); k < stretches.length; k++) {
        const stretch = stretches[k]
        if (stretch.from >= end) break
        addStretch(stretch, Math.max(startFrame, stretch.from), Math.min(end, stretch.to), startFrame, into)
      }
    },
    close() {
      for (const source of sources) source.close()
    },
  }
}

/** Index of the first that ends after a frame. Their ends are in order, as only neighbours overlap. */
function firstEndingAfter(
  spans: readonly ({ readonly to: number } | PlannedPassage)[],
  frame: number,
): number {
  let low = 0
  let high = spans.length
  while (low < high) {
    const middle = (low + high) >> 1
    const span = spans[middle]
    if (('to' in span ? span.to : span.atFrame + span.frames) > frame) high = middle
    else low = middle + 1
  }
  return low
}

/** Adds frames `from` to `to` of the layer, which begin at index 0 of `sound` and lie in `into` from `start` on. */
function addPassage(
  passage: PlannedPassage,
  gain: number,
  sound: Float64Array,
  from: number,
  to: number,
  into: Float64Array,
  start: number,
): void {
  const { atFrame, frames, fadeInFrames, fadeInCorrelation, fadeOutFrames, fadeOutCorrelation } = passage
  const first = Math.max(from, atFrame)
  const last = Math.min(to, atFrame + frames)
  const fullFrom = Math.min(last, Math.max(first, atFrame + fadeInFrames))
  const fullTo = Math.max(fullFrom, Math.min(last, atFrame + frames - fadeOutFrames))
  for (let n = first; n < fullFrom; n++) {
    const fade = gainAtRise(riseAt(n - atFrame, fadeInFrames), fadeInCorrelation)
    into[n - start] += sound[n - from] * (gain * fade)
  }
  if (gain === 1) for (let n = fullFrom; n < fullTo; n++) into[n - start] += sound[n - from]
  else for (let n = fullFrom; n < fullTo; n++) into[n - start] += sound[n - from] * gain
  const outFrom = atFrame + frames - fadeOutFrames
  for (let n = fullTo; n < last; n++) {
    const fade = gainAtRise(riseAt(fadeOutFrames - 1 - (n - outFrom), fadeOutFrames), fadeOutCorrelation)
    into[n - start] += sound[n - from] * (gain * fade)
  }
}

// The time axis that all layers share: ticks, snapping and the extent of the song.

import { type Bars, hasTempo, type TimeBase } from '../../../app/words/bars/bar-words.ts'
import { tempoSections } from '../../../app/words/bars/tempo-map.ts'
import { formatNumber } from '../../../app/words/format.ts'
import type { FrameRange } from '../../formats/frame-range.ts'

/** A tick at a session frame. */
export interface Tick {
  readonly frame: number
  /** null for minor ticks. */
  readonly label: string | null
}

const TIME_STEPS_S = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800, 3600]
const BAR_STEPS = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512]

/** Minimum distance between labels. */
const LABEL_PX = 72

const formatTickTime = (seconds: number, stepSeconds: number): string => {
  const places = stepSeconds >= 1 ? 0 : stepSeconds >= 0.1 ? 1 : 2
  const sign = seconds < 0 ? '\u2212' : ''
  const whole = Math.abs(seconds)
  const minutes = Math.floor((whole + 1e-9) / 60)
  const rest = Math.abs(whole - minutes * 60).toFixed(places)
  return `${sign}${minutes}:${rest.padStart(places === 0 ? 2 : places + 3, '0')}`
}

/** Ticks between two frames: bars and beats if the session has a tempo, else minutes and seconds. */
export function ticksBetween(
  fromFrame: number,
  toFrame: number,
  pxPerSecond: number,
  base: TimeBase,
): readonly Tick[] {
  if (hasTempo(base)) return barTicks(fromFrame, toFrame, pxPerSecond / base.sampleRateHz, base)
  const seconds = TIME_STEPS_S.find((step) => step * pxPerSecond >= LABEL_PX) ?? TIME_STEPS_S.at(-1)!
  const small = (seconds * base.sampleRateHz) / 5
  const ticks: Tick[] = []
  for (let i = Math.ceil(fromFrame / small); i * small <= toFrame; i++) {
    const frame = i * small
    const label = i % 5 === 0 ? formatTickTime(frame / base.sampleRateHz, seconds) : null
    ticks.push({ frame, label })
  }
  return ticks
}

/** Each section of one tempo has its own beats; the step between labelled bars is that of the shortest bar. */
function barTicks(fromFrame: number, toFrame: number, pxPerFrame: number, base: Bars): readonly Tick[] {
  const sections = tempoSections(base)
  const shortestBarPx = Math.min(...sections.map((one) => one.beatsPerBar * one.framesPerBeat)) * pxPerFrame
  const bars = BAR_STEPS.find((step) => step * shortestBarPx >= LABEL_PX) ?? BAR_STEPS.at(-1)!
  const ticks: Tick[] = []
  for (const [i, section] of sections.entries()) {
    const beatsAreLabelled = section.framesPerBeat * pxPerFrame >= LABEL_PX
    const smallBeats = beatsAreLabelled
      ? 1 / 4
      : bars === 1
        ? 1
        : (section.beatsPerBar * bars) / (bars === 2 ? 2 : 4)
    // Counted from bar 1 as if the whole song had this metre, so that labels do not depend on the changes before.
    const beatsBefore = (section.fromBar - 1) * section.beatsPerBar
    const frameAt = (beats: number): number =>
      section.fromFrame + (beats - beatsBefore) * section.framesPerBeat
    const from = i === 0 ? fromFrame : Math.max(fromFrame, section.fromFrame)
    const next = sections[i + 1]?.fromFrame ?? Number.POSITIVE_INFINITY
    const firstBeats = beatsBefore + (from - section.fromFrame) / section.framesPerBeat
    for (let k = Math.ceil(firstBeats / smallBeats - 1e-9); ; k++) {
      const beats = k * smallBeats
      const frame = frameAt(beats)
      // The first beat of the next section is its own; half a frame allows for rounding.
      if (frame > toFrame || frame >= next - 0.5) break
      const bar = Math.floor(beats / section.beatsPerBar)
      const beat = beats - bar * section.beatsPerBar
      if (beat === 0 && (beatsAreLabelled || bar % bars === 0))
        ticks.push({ frame, label: formatNumber(bar + 1, 0) })
      else if (beatsAreLabelled && Number.isInteger(beat))
        ticks.push({ frame, label: `${formatNumber(bar + 1, 0)}.${beat + 1}` })
      else ticks.push({ frame, label: null })
    }
  }
  return ticks
}

/** From the earliest layer start, or 0 if that is earlier, to the end of the last layer. */
export function extentOf(
  layers: readonly { offsetSamples: number; takeId: number }[],
  takes: ReadonlyMap<number, { frames: number; sampleRateHz: number }>,
  sampleRateHz: number,
): FrameRange {
  let fromFrame = 0
  let toFrame = 0
  for (const layer of layers) {
    const take = takes.get(layer.takeId)
    if (take === undefined) continue
    fromFrame = Math.min(fromFrame, layer.offsetSamples)
    toFrame = Math.max(toFrame, layer.offsetSamples + lengthInSession(take, sampleRateHz))
  }
  return { fromFrame, toFrame }
}

/** Length of a take in frames at the session's sample rate. */
export const lengthInSession = (
  take: { frames: number; sampleRateHz: number },
  sampleRateHz: number,
): number => Math.round((take.frames * sampleRateHz) / take.sampleRateHz)

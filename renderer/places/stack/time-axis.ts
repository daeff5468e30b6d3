// The time axis that all layers share: ticks, snapping and the extent of the song.

import type { FrameRange } from '../../formats/frame-range.ts'
import { formatBars, framesPerBeat, type TimeBase } from '../../formats/stack/offset-units.ts'

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

/** Frames between labels, and between minor ticks. */
function tickSteps(pxPerSecond: number, base: TimeBase): { label: number; small: number } {
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  if (base.tempoBpm !== null) {
    const beat = framesPerBeat(base.tempoBpm, base.sampleRateHz)
    const bar = beat * base.beatsPerBar
    if (beat * pxPerFrame >= LABEL_PX) return { label: beat, small: beat / 4 }
    const bars = BAR_STEPS.find((step) => step * bar * pxPerFrame >= LABEL_PX) ?? BAR_STEPS.at(-1)!
    return { label: bars * bar, small: bars === 1 ? beat : (bars * bar) / (bars === 2 ? 2 : 4) }
  }
  const seconds = TIME_STEPS_S.find((step) => step * pxPerSecond >= LABEL_PX) ?? TIME_STEPS_S.at(-1)!
  return { label: seconds * base.sampleRateHz, small: (seconds * base.sampleRateHz) / 5 }
}

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
  const { label, small } = tickSteps(pxPerSecond, base)
  const perLabel = Math.round(label / small)
  const ticks: Tick[] = []
  for (let i = Math.ceil(fromFrame / small); i * small <= toFrame; i++) {
    const frame = i * small
    if (i % perLabel !== 0) ticks.push({ frame, label: null })
    else if (base.tempoBpm === null) {
      ticks.push({ frame, label: formatTickTime(frame / base.sampleRateHz, label / base.sampleRateHz) })
    } else {
      const [bar, beat] = formatBars(frame, { ...base, tempoBpm: base.tempoBpm }).split('.')
      ticks.push({ frame, label: beat === '1' ? bar! : `${bar}.${beat}` })
    }
  }
  return ticks
}

/** Snap step in frames: a beat if the session has a tempo, else a tenth of a second. */
export const snapStep = (base: TimeBase): number =>
  base.tempoBpm === null ? base.sampleRateHz / 10 : framesPerBeat(base.tempoBpm, base.sampleRateHz)

/** The nearest snap step, as a whole frame. */
export function snapFrame(frame: number, base: TimeBase): number {
  const step = snapStep(base)
  return Math.round(Math.round(frame / step) * step)
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

// The response of stages as they sound: what becomes of an impulse, transformed by fft.js.

import FFT from 'fft.js'
import type { StageSetup } from '../../app/dsp/stages/settings.ts'
import { impulse } from '../signals/impulses.ts'
import { runMono } from './run-stage.ts'

/** Long enough for 50 Hz at Q 8 to fall by 200 dB, and fine enough to look between the points. */
const FRAMES = 65_536
const fft = new FFT(FRAMES)
const bins = fft.createComplexArray() as number[]

export interface MeasuredResponse {
  readonly frequenciesHz: readonly number[]
  readonly levelsDb: readonly number[]
}

/** Level in dB at every bin from 0 Hz to half the sample rate, both included. */
export function measureWholeResponse(setups: readonly StageSetup[], sampleRateHz: number): MeasuredResponse {
  fft.realTransform(bins, [...runMono(setups, impulse(FRAMES), sampleRateHz)])
  const places = Array.from({ length: FRAMES / 2 + 1 }, (_, bin) => bin)
  return {
    frequenciesHz: places.map((bin) => (bin * sampleRateHz) / FRAMES),
    levelsDb: places.map((bin) => 10 * Math.log10(bins[2 * bin] ** 2 + bins[2 * bin + 1] ** 2)),
  }
}

/** Level in dB over the bins nearest to frequencies that are even over log f. */
export function measureResponse(
  setups: readonly StageSetup[],
  sampleRateHz: number,
  fromHz = 20,
  toHz = 20_000,
  points = 180,
): MeasuredResponse {
  fft.realTransform(bins, [...runMono(setups, impulse(FRAMES), sampleRateHz)])
  const binHz = sampleRateHz / FRAMES
  const places = new Set(
    Array.from({ length: points }, (_, i) =>
      Math.round((fromHz * (toHz / fromHz) ** (i / (points - 1))) / binHz),
    ),
  )
  const kept = [...places].filter((bin) => bin >= 1 && bin * binHz <= toHz)
  return {
    frequenciesHz: kept.map((bin) => bin * binHz),
    levelsDb: kept.map((bin) => 10 * Math.log10(bins[2 * bin] ** 2 + bins[2 * bin + 1] ** 2)),
  }
}

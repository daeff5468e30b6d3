// The invented mics on the generated voice: the response that the filter really has, by
// fft.js on its impulse response, against the points of the curve it was made from.
import { describe, expect, it } from 'vitest'
import { CurvePoints } from '../../../app/contract/curve.ts'
import { colourByMic } from '../../../app/dsp/voice/colour-by-mic.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC } from '../../../app/dsp/voice/demo-mics.ts'
import { responseLevelDb } from '../../signals/spectra.ts'

const MICS = [DEMO_CONDENSER, DEMO_DYNAMIC]

function impulseAt(frame: number, frames: number): Float32Array {
  const samples = new Float32Array(frames)
  samples[frame] = 1
  return samples
}

describe('demo mics', () => {
  it.each(MICS)(
    '$name says that it is invented and is a curve the border accepts',
    ({ name, note, curve }) => {
      expect(name).toMatch(/invented/)
      expect(note).toMatch(/never measured/)
      expect(CurvePoints.safeParse(curve).success).toBe(true)
      expect(curve.frequenciesHz.length).toBeGreaterThanOrEqual(30)
    },
  )

  it('differ by 3 dB or more from 6 kHz up, so that a correction has something to do', () => {
    for (const [i, hz] of DEMO_CONDENSER.curve.frequenciesHz.entries()) {
      if (hz >= 8000)
        expect(DEMO_CONDENSER.curve.levelsDb[i] - DEMO_DYNAMIC.curve.levelsDb[i]).toBeGreaterThan(3)
    }
  })
})

describe('colourByMic', () => {
  for (const sampleRateHz of [44100, 48000, 96000]) {
    it.each(MICS)(
      `$name at ${sampleRateHz} Hz: within 0.5 dB of the curve from 50 Hz to 16 kHz`,
      ({ curve }) => {
        const response = Float64Array.from(colourByMic(impulseAt(0, 16384), curve, sampleRateHz))
        let worst = 0
        for (const [i, hz] of curve.frequenciesHz.entries()) {
          if (hz < 50 || hz > 16000) continue
          worst = Math.max(worst, Math.abs(responseLevelDb(response, hz, sampleRateHz) - curve.levelsDb[i]))
        }
        expect(worst).toBeLessThan(0.5)
      },
    )
  }

  it('does not delay, rings only afterwards, and is the same wherever the sound falls', () => {
    const at = (frame: number) => colourByMic(impulseAt(frame, 60000), DEMO_DYNAMIC.curve, 48000)
    const first = at(0)
    for (const frame of [1, 12288, 12289, 20000, 40000]) {
      const moved = at(frame)
      for (let n = 0; n < frame; n++) expect(Math.abs(moved[n])).toBeLessThan(1e-9)
      for (let n = 0; n < 4096; n += 7) expect(moved[frame + n]).toBeCloseTo(first[n], 7)
    }
    expect(first.indexOf(Math.max(...first))).toBeLessThan(3)
  })

  it('leaves its input as it was and keeps its length', () => {
    const input = impulseAt(3, 1000)
    const output = colourByMic(input, DEMO_CONDENSER.curve, 48000)
    expect(output).toHaveLength(1000)
    expect(input).toEqual(impulseAt(3, 1000))
  })
})

import { describe, expect, it } from 'vitest'
import { createDriveMatch } from '../../../app/dsp/meters/drive-match.ts'
import { createLoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { feed, tone } from '../../signals/tones.ts'

const FS = 48_000

function outputDb(clean: Float64Array, driven: Float64Array, mixPercent: number): number | null {
  const match = createDriveMatch({ sampleRateHz: FS, channels: 1 })
  const both = [clean, driven]
  feed(([x, w], frames) => match.add([x], [w], frames), both)
  return match.outputDb(mixPercent)
}

function loudnessLufs(samples: Float64Array): number {
  const meter = createLoudnessMeter({ sampleRateHz: FS, channels: 1 })
  feed(meter.add, [samples])
  return meter.integratedLufs()!
}

describe('output that makes driven as loud as clean', () => {
  const clean = hissedLine(8, FS, 1, { vowelPeak: 0.6 }).samples
  const bent = clean.map((x) => Math.tanh(3 * x) / 3)

  it.each([1, 25, 50, 80, 100])(
    'mix %d percent: the blend has the loudness of the clean sound, to 0.01 LU',
    (mixPercent) => {
      const mix = mixPercent / 100
      const gain = 10 ** (outputDb(clean, bent, mixPercent)! / 20)
      const blend = clean.map((x, n) => (1 - mix) * x + mix * gain * bent[n])
      // All blocks of this line are active, so the gated meter looks at what was matched, in longer blocks.
      expect(Math.abs(loudnessLufs(blend) - loudnessLufs(clean))).toBeLessThan(0.01)
    },
  )

  it('holds too where driven and clean have nothing in common, and where they are opposed', () => {
    const other = whiteNoise(clean.length, 5, 0.3)
    for (const driven of [other, clean.map((x) => -0.5 * x)]) {
      const gain = 10 ** (outputDb(clean, driven, 60)! / 20)
      const blend = clean.map((x, n) => 0.4 * x + 0.6 * gain * driven[n])
      expect(Math.abs(loudnessLufs(blend) - loudnessLufs(clean))).toBeLessThan(0.1)
    }
  })

  it('undoes a pure gain exactly', () => {
    expect(
      outputDb(
        clean,
        clean.map((x) => x * 10 ** (-7 / 20)),
        100,
      ),
    ).toBeCloseTo(7, 9)
  })

  it('counts the blocks in which the clean sound is active, and no noise that drive lifts in pauses', () => {
    const paused = new Float64Array(2 * clean.length)
    paused.set(clean)
    const lifted = paused.map((_, n) => (n < clean.length ? bent[n] : 0.02 * Math.sin(n)))
    expect(outputDb(paused, lifted, 100)).toBeCloseTo(outputDb(clean, bent, 100)!, 2)
  })

  it('has no answer for silence, or where nothing of the driven sound is mixed in', () => {
    const silence = new Float64Array(FS)
    expect(outputDb(silence, silence, 100)).toBeNull()
    expect(outputDb(clean, bent, 0)).toBeNull()
    expect(outputDb(tone(FS, FS, 997, 1e-5), tone(FS, FS, 997, 1e-5), 100)).toBeNull()
  })
})

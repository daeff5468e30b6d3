// The point on the static curve while it plays: on the curve for a steady tone, and off it while the stage follows. The
// curve is that of JAES 60(6), 2012, eq. 4, as a table worked out beside it.

import { describe, expect, it } from 'vitest'
import { workingPointAt } from '../../../../../renderer/places/chain/stages/working-point.ts'
import { SOFT_KNEE_TABLE } from '../../../../dsp/stages/soft-knee-table.ts'
import { songOf, stageOf } from '../../../../signals/song-of.ts'
import { tone, toneSequence } from '../../../../signals/tones.ts'

const FS = 48_000
const ROW = 1024
const OPTO = {
  thresholdDbfs: -20,
  ratio: 4,
  kneeDb: 6,
  attackMs: 10,
  releaseMs: 60,
  recoverySeconds: 3,
  makeUpDb: 0,
}
const rowAt = (seconds: number): number => Math.floor((seconds * FS) / ROW)

describe('the working point of a stage', () => {
  it.each(SOFT_KNEE_TABLE)(
    'lies on the curve of the opto for a steady tone of %d dBFS: %d dBFS',
    (inDb, outDb) => {
      const { song } = songOf([tone(FS, FS, 1000, 10 ** (inDb / 20))], [stageOf('opto', OPTO)])
      const point = workingPointAt(song, 0, 'opto', rowAt(0.9))!
      // A band is told in steps of half a dB.
      expect(Math.abs(point.inputDbfs - inDb)).toBeLessThan(0.3)
      expect(Math.abs(inDb - point.reductionDb - outDb)).toBeLessThan(0.1)
    },
  )

  it('hears little of what lies below a voice, as the side chain does', () => {
    const at100 = tone(FS, FS, 100, 0.5)
    // The side chain takes 19 dB; spectra of 43 ms spread the tone into the bands above, which it takes less of.
    const opto = workingPointAt(songOf([at100], [stageOf('opto', OPTO)]).song, 0, 'opto', rowAt(0.9))!
    expect(opto.inputDbfs).toBeLessThan(-6 - 10)
    // The expander hears the lowest voices as they are.
    const expander = workingPointAt(songOf([at100], [stageOf('expander')]).song, 0, 'expander', rowAt(0.9))!
    expect(Math.abs(expander.inputDbfs + 6)).toBeLessThan(0.6)
  })

  it('reduces less than the curve while the opto attacks, and more while it releases', () => {
    const input = toneSequence(
      [
        { seconds: 1, peakDbfs: -40 },
        { seconds: 1, peakDbfs: -8 },
        { seconds: 1, peakDbfs: -40 },
      ],
      FS,
      997,
    )
    const { song } = songOf([input], [stageOf('opto', { ...OPTO, attackMs: 200 })])
    // The curve takes 9 dB off -8 dBFS, and nothing off -40.
    const attacking = workingPointAt(song, 0, 'opto', rowAt(1.07))!
    expect(Math.abs(attacking.inputDbfs + 8)).toBeLessThan(0.3)
    expect(attacking.reductionDb).toBeGreaterThan(1)
    expect(attacking.reductionDb).toBeLessThan(5)
    const releasing = workingPointAt(song, 0, 'opto', rowAt(2.1))!
    expect(Math.abs(releasing.inputDbfs + 40)).toBeLessThan(0.3)
    expect(releasing.reductionDb).toBeGreaterThan(1)
  })

  it('expander: 4:1 below -30 dBFS, 15 dB off a tone of -35 dBFS', () => {
    const settings = { thresholdDbfs: -30, ratio: 4, rangeDb: 40, attackMs: 2, holdMs: 0, releaseMs: 50 }
    const { song } = songOf([tone(2 * FS, FS, 1000, 10 ** (-35 / 20))], [stageOf('expander', settings)])
    const point = workingPointAt(song, 0, 'expander', rowAt(1.9))!
    expect(Math.abs(point.inputDbfs + 35)).toBeLessThan(0.3)
    expect(Math.abs(point.reductionDb - 15)).toBeLessThan(0.2)
  })

  it('is nowhere in silence, and nowhere for a stage that is off', () => {
    const { song } = songOf([new Float64Array(FS)], [stageOf('opto'), stageOf('opto', {}, false)])
    expect(workingPointAt(song, 0, 'opto', 10)).toBeNull()
    const { song: sounding } = songOf(
      [tone(FS, FS, 1000, 0.1)],
      [stageOf('opto'), stageOf('opto', {}, false)],
    )
    expect(workingPointAt(sounding, 1, 'opto', 10)).toBeNull()
    expect(workingPointAt(sounding, 0, 'opto', 10)).not.toBeNull()
  })
})

// The meter shows what is heard, which the audio thread has read some time before.

import { describe, expect, it } from 'vitest'
import { METER, METERS } from '../../../renderer/playback/live-meter.ts'
import { createMeterHistory } from '../../../renderer/playback/meter-history.ts'
import { createStallWatch } from '../../../renderer/playback/stalled-output.ts'

/** Readings whose loudness is the frame that they were taken at. */
const readingsAt = (frame: number): Float32Array => {
  const readings = new Float32Array(METERS)
  readings[METER.momentary] = frame
  return readings
}

describe('readings of what is heard', () => {
  it('are those that were noted nearest to the frame that is heard', () => {
    const history = createMeterHistory()
    history.begin(0)
    let shown: number[] = []
    // Frames of the screen every 800 frames; the output is late by 9600, 200 ms at 48 kHz.
    for (let read = 800; read <= 80_000; read += 800) {
      const [value] = [history.at(readingsAt(read), read, read - 9600)[METER.momentary]]
      shown = [...shown, value]
      if (read >= 10_400) expect(value).toBe(read - 9600)
    }
    expect(shown.slice(0, 11).every(Number.isNaN)).toBe(true)
  })

  it('are none of the playback before', () => {
    const history = createMeterHistory()
    history.begin(0)
    history.at(readingsAt(4800), 4800, 2400)
    history.begin(4800)
    expect(history.at(readingsAt(4800), 4800, 4000)[METER.momentary]).toBeNaN()
    expect(history.at(readingsAt(5600), 5600, 4700)[METER.momentary]).toBeNaN()
    expect(history.at(readingsAt(6400), 6400, 5700)[METER.momentary]).toBe(5600)
  })

  it('are the newest where the window was not drawn for long', () => {
    const history = createMeterHistory()
    history.begin(0)
    history.at(readingsAt(800), 800, 100)
    expect(history.at(readingsAt(9e6), 9e6, 9e6 - 2000)[METER.momentary]).toBe(9e6)
  })
})

describe('an output has stopped', () => {
  it('where its clock stood still for two seconds of many looks, and not after the computer slept', () => {
    const isStalled = createStallWatch()
    for (let ms = 0; ms < 5000; ms += 15) expect(isStalled(ms / 1000, ms)).toBe(false)
    expect(isStalled(4.995, 3_600_000)).toBe(false)
    const found: number[] = []
    for (let ms = 3_600_015; ms < 3_604_000; ms += 15) if (isStalled(5, ms)) found.push(ms)
    expect(found[0] - 3_600_015).toBeGreaterThan(2000)
    expect(found[0] - 3_600_015).toBeLessThan(2050)
  })
})

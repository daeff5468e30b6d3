import { describe, expect, it } from 'vitest'
import { checkFindings } from '../../../app/dsp/check/check-findings.ts'
import { createHumSearch, type HumFamily } from '../../../app/dsp/check/hum.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import {
  addWhiteNoise,
  announcements,
  CLIPS,
  checkOf,
  phrasedTake,
  RATE_HZ,
  SINGERS,
  songTake,
} from '../../signals/checking.ts'
import { withHum } from '../../signals/planted-faults.ts'

const humOf = (samples: Float64Array): HumFamily | null => checkOf(samples).evidence.hum

describe('hum of the mains in the pauses', () => {
  const takes = SINGERS.map((singer) => songTake(singer, 3).samples)

  it.each([-45, -55, -65, -70])('a family of %d dBFS in all, with a floor of -65 dBFS', (levelDbfs) => {
    let found = 0
    let tried = 0
    let worst = 0
    for (const take of takes) {
      for (const fundamentalHz of [49.9, 50.1, 60]) {
        tried++
        const family = humOf(withHum(take, fundamentalHz, levelDbfs))
        if (family === null || family.mainsHz !== Math.round(fundamentalHz / 10) * 10) continue
        if (family.rateRatio !== 1) continue
        found++
        worst = Math.max(worst, Math.abs(family.fundamentalHz - fundamentalHz))
      }
    }
    console.log(`  ${found} of ${tried} families, fundamental within ${worst.toFixed(3)} Hz`)
    // At -70 dBFS the family lies 5 dB under the floor as a whole; two misses are allowed there.
    expect(found).toBeGreaterThanOrEqual(levelDbfs < -65 ? tried - 2 : tried)
    // Agreement asked for: 0.1 %.
    expect(worst).toBeLessThanOrEqual(0.05)
  })

  it.each([
    [60, [1]],
    [50, [1]],
    [50, [1, 3]],
  ])('%d Hz at -40 dBFS with harmonics %j alone is hum and no offset', (hz, harmonics) => {
    const gain = 0.01 * Math.sqrt(2 / harmonics.length)
    const take = Float64Array.from(takes[0], (sample, n) =>
      harmonics.reduce((sum, k) => sum + gain * Math.sin((2 * Math.PI * hz * k * n) / RATE_HZ), sample),
    )
    const { findings } = checkOf(take)
    const hum = findings.find(({ kind }) => kind === 'hum')
    expect(hum).toMatchObject({ harmonics })
    expect(Math.abs(hum!.value + 40)).toBeLessThan(2.5)
    expect(findings.map(({ kind }) => kind)).not.toContain('dc-offset')
  })

  it('is not taken from voices that sit at 100 and 120 Hz', () => {
    for (const tonicHz of [100, 120]) {
      const { samples } = phrasedTake({ ...SINGERS[0], tonicHz, driftCents: 0, scoopSemitones: 0 }, 2, true)
      expect(humOf(Float64Array.from(samples))).toBeNull()
    }
    for (const take of takes) expect(humOf(Float64Array.from(take))).toBeNull()
  })

  it('is no single line that loud noise has at 50 or 60 Hz by chance', () => {
    const rateHz = 375
    const isPause = new Uint8Array(1000).fill(1)
    let lines = 0
    for (let seed = 1; seed <= 300; seed++) {
      const noise = addWhiteNoise(new Float64Array(10 * rateHz), -40, seed)
      const search = createHumSearch(rateHz, 0)
      search.add(noise, 0, noise.length)
      const family = search.family(isPause, 0.01)
      if (family !== null && family.harmonics.length < 3) lines++
    }
    expect(lines).toBe(0)
  })

  it('tells a wrong rate by where the family stands', () => {
    for (const ratio of [48000 / 44100, 44100 / 48000]) {
      const { findings } = checkOf(withHum(takes[0], 50 / ratio, -55))
      const finding = findings.find(({ kind }) => kind === 'wrong-rate')!
      if (finding.kind !== 'wrong-rate') throw new Error(finding.kind)
      expect(Math.abs(finding.rateRatio - ratio)).toBeLessThan(0.001)
      expect(finding.threshold).toBe(50)
      expect(Math.abs(finding.value - 50 / ratio)).toBeLessThan(0.05)
      expect(findings.some(({ kind }) => kind === 'hum')).toBe(false)
    }
  })

  it('does not take lines far below hearing for a wrong rate', () => {
    const { evidence } = checkOf(withHum(takes[0], 50 * (48000 / 44100), -55))
    const kindsAt = (levelDbfs: number) =>
      checkFindings({ ...evidence, hum: { ...evidence.hum!, levelDbfs } }).map(({ kind }) => kind)
    expect(kindsAt(-84)).toContain('wrong-rate')
    expect(kindsAt(-110)).not.toContain('wrong-rate')
  })

  it.skipIf(!haveMaterial(CLIPS) || !hasTool('ffmpeg'))(
    'is found under real speech, and not without it',
    () => {
      const speech = announcements()
      expect(humOf(speech)).toBeNull()
      const family = humOf(withHum(speech, 50.05, -60))!
      expect(Math.abs(family.fundamentalHz - 50.05)).toBeLessThan(0.05)
    },
  )
})

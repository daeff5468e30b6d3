import { describe, expect, it } from 'vitest'
import { createTakeCheck } from '../../../app/dsp/check/take-check.ts'
import { addWhiteNoise, checkOf, RATE_HZ, SINGERS, songTake } from '../../signals/checking.ts'
import { musicLoop } from '../../signals/music-loop.ts'
import { feed } from '../../signals/tones.ts'

const kindsOf = (samples: Float64Array | Float32Array, rateHz = RATE_HZ): string[] =>
  checkOf(samples, rateHz).findings.map(({ kind }) => kind)

describe('the check of a take', () => {
  const { samples } = songTake(SINGERS[0], 3, { popLevelDb: 0 })

  it('gives the same evidence and print in blocks of any size', () => {
    const short = samples.subarray(0, 5 * RATE_HZ)
    const resultIn = (blockFrames: number) => {
      const { humOffMains, ...rest } = checkOf(short, RATE_HZ, blockFrames)
      return { ...rest, offMains: humOffMains() }
    }
    const whole = resultIn(short.length)
    for (const blockFrames of [1, 997, 4096]) expect(resultIn(blockFrames)).toEqual(whole)
  })

  it.each([8000, 16_000, 32_000, 44_100, 88_200, 192_000])('works at %d Hz', (rateHz) => {
    const take = addWhiteNoise(new Float64Array(3 * rateHz), -60, 1)
    for (let n = rateHz; n < 2 * rateHz; n++) take[n] += 0.2 * Math.sin((2 * Math.PI * 300 * n) / rateHz)
    const { evidence } = checkOf(take, rateHz)
    // Of white noise from 80 Hz up.
    const expectedDbfs = -60 + 10 * Math.log10(1 - 80 / (rateHz / 2))
    expect(Math.abs(evidence.floorDbfs! - expectedDbfs)).toBeLessThan(0.5)
    expect(evidence.phrases).toHaveLength(1)
    expect(Math.abs(evidence.phrases[0].fromS - 0.94)).toBeLessThan(0.03)
  })

  it('tells nothing, silence, a third of a second, noise and music apart, and judges none', () => {
    expect(checkOf(new Float64Array(0)).evidence).toMatchObject({ floorDbfs: null, phrases: [], hum: null })
    expect(checkOf(new Float64Array(3 * RATE_HZ)).evidence).toMatchObject({
      voiceDbfs: null,
      isOneVoice: false,
    })
    expect(kindsOf(samples.subarray(60_000, 74_400))).toEqual(['too-short'])
    expect(kindsOf(addWhiteNoise(new Float64Array(20 * RATE_HZ), -20, 1))).toEqual(['not-one-voice'])
    const music = checkOf(musicLoop(30, RATE_HZ)).findings
    expect(music.map(({ kind }) => kind)).toEqual(['not-one-voice'])
    expect(music[0]).toMatchObject({ because: 'no-pause' })
  })

  it('says of music with pauses that it is no voice, by its kick and bass', () => {
    const loop = addWhiteNoise(musicLoop(30, RATE_HZ), -80, 1)
    for (let n = 0; n < loop.length; n++) if (n % (5 * RATE_HZ) > 4 * RATE_HZ) loop[n] *= 0.0005
    expect(kindsOf(loop)).toEqual(['not-one-voice'])
  })

  it('takes one voice for one voice, however strong its pops and with rumble under all of it', () => {
    const popping = Float64Array.from(samples)
    const rumbling = Float64Array.from(samples, (sample, n) => sample + 0.1 * Math.sin(n / 400))
    const peak = popping.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
    for (let at = RATE_HZ; at + RATE_HZ < popping.length; at += RATE_HZ) {
      for (let n = 0; n < 0.3 * RATE_HZ; n++) {
        const t = n / RATE_HZ
        popping[at + n] += 2 * peak * Math.exp(-t / 0.06) * Math.sin(2 * Math.PI * 35 * t)
      }
    }
    expect(kindsOf(popping)).toContain('pops')
    for (const take of [popping, rumbling]) expect(checkOf(take).evidence.isOneVoice).toBe(true)
  })

  it('finds an offset that only the pauses have, as a stage that is not symmetrical leaves it', () => {
    const offset = Float64Array.from(samples, (sample) => sample + 0.004)
    expect(kindsOf(offset)).toContain('dc-offset')
    expect(kindsOf(samples)).not.toContain('dc-offset')
  })

  it('finds channels that are each other’s opposite, and judges the voice all the same', () => {
    const left = Float64Array.from(samples)
    const check = createTakeCheck({ sampleRateHz: RATE_HZ, channels: 2 })
    feed(check.add, [left, left.map((sample) => -sample)])
    const { evidence, findings } = check.finish()
    expect(findings.map(({ kind }) => kind)).toContain('opposite-channels')
    expect(evidence.voiceDbfs).toBeCloseTo(checkOf(left).evidence.voiceDbfs!, 0)
    const same = createTakeCheck({ sampleRateHz: RATE_HZ, channels: 2 })
    feed(same.add, [left, left])
    expect(same.finish().evidence.oppositeChannels).toBe(false)
  })

  it('gives every finding a figure and its places in order', () => {
    const faulty = addWhiteNoise(
      Float64Array.from(samples, (sample) => -sample),
      -50,
      2,
    )
    for (let n = RATE_HZ; n < faulty.length; n += 100_000) faulty[n] += 0.5
    const { findings } = checkOf(faulty)
    expect(findings.map(({ kind }) => kind)).toEqual(
      expect.arrayContaining(['noise-floor', 'clicks', 'pops', 'inverted-polarity']),
    )
    for (const { kind, value, threshold, places = [], atSeconds } of findings) {
      expect(value, kind).toBeGreaterThanOrEqual(threshold)
      expect(places.map(({ fromS }) => fromS).slice(0, 20), kind).toEqual(
        places.length === 0 ? [] : atSeconds,
      )
      expect([...atSeconds], kind).toEqual([...atSeconds].sort((a, b) => a - b))
    }
  })
})

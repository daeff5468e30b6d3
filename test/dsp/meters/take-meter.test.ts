import { describe, expect, it } from 'vitest'
import type { Finding } from '../../../app/dsp/meters/finding.ts'
import { createTakeMeter } from '../../../app/dsp/meters/take-meter.ts'
import { LEAD_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { fadeEnds, feed, quantised, tone, toneCluster, toneSequence } from '../../signals/tones.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'

function factsOf(channels: readonly Float64Array[], sampleRateHz = 48000, blockFrames?: number) {
  const meter = createTakeMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels, blockFrames)
  return meter.facts()
}

function findingOf(channels: readonly Float64Array[], kind: Finding['kind'], sampleRateHz = 48000) {
  return factsOf(channels, sampleRateHz).findings.find((finding) => finding.kind === kind)
}

describe('take meter', () => {
  it('gives every figure of a plain tone: -23 LUFS (EBU Tech 3341 case 1), peaks, no findings', () => {
    const signal = fadeEnds(tone(20 * 48000, 48000, 1000, 10 ** (-23 / 20)), 48000, 10)
    const facts = factsOf([signal, signal])
    expect(facts).toMatchObject({
      sampleRateHz: 48000,
      channels: 2,
      frames: 960000,
      firstNonFinite: null,
      findings: [],
    })
    for (const lufs of [facts.integratedLufs, facts.maxMomentaryLufs, facts.maxShortTermLufs]) {
      expect(Math.abs(lufs! + 23)).toBeLessThanOrEqual(0.1)
    }
    expect(facts.samplePeakDbfs).toBeCloseTo(-23, 6)
    expect(facts.truePeakDbtp).toBeCloseTo(-23, 1)
    expect(Math.abs(facts.dcOffset!)).toBeLessThan(1e-9)
  })

  it('gives the same facts in blocks of any size', () => {
    const signal = toneCluster(100_000, 44100, 60, 2000, 40, 1).map(
      (sample) => Math.max(-0.5, Math.min(0.5, sample)) + 0.01,
    )
    signal.fill(0, 30_000, 90_000)
    const whole = factsOf([signal], 44100, signal.length)
    expect(whole.findings.map((finding) => finding.kind)).toEqual(['clipping', 'dc-offset', 'silent'])
    for (const blockFrames of [1, 91, 4096]) {
      const facts = factsOf([signal], 44100, blockFrames)
      expect(facts.findings.map((finding) => [finding.kind, finding.atSeconds])).toEqual(
        whole.findings.map((finding) => [finding.kind, finding.atSeconds]),
      )
      expect(facts.integratedLufs).toBeCloseTo(whole.integratedLufs!, 9)
      expect(facts.truePeakDbtp).toBeCloseTo(whole.truePeakDbtp!, 12)
      expect(facts.findings[0].value).toBe(whole.findings[0].value)
    }
  })

  it('gives DC per channel and the greatest of them, with its sign', () => {
    const left = tone(48000, 48000, 1000, 0.2).map((sample) => sample + 0.0005)
    const right = tone(48000, 48000, 1000, 0.2).map((sample) => sample - 0.004)
    const facts = factsOf([left, right])
    expect(facts.channelDcOffsets[0]).toBeCloseTo(0.0005, 9)
    expect(facts.channelDcOffsets[1]).toBeCloseTo(-0.004, 9)
    expect(facts.dcOffset).toBeCloseTo(-0.004, 9)
    const finding = facts.findings.find(({ kind }) => kind === 'dc-offset')!
    expect(finding.value).toBeCloseTo(20 * Math.log10(0.004), 6)
    expect(findingOf([left], 'dc-offset')).toBeUndefined()
  })

  it.each([
    [Number.NaN, 1],
    [Number.POSITIVE_INFINITY, 0],
    [Number.NEGATIVE_INFINITY, 1],
    [-1e200, 0],
  ])('stops at a sample that is %d, says where, and keeps what came before', (bad, channel) => {
    const clean = tone(48000, 48000, 1000, 0.1)
    const channels = [clean.slice(), clean.slice()]
    channels[channel][30_001] = bad
    channels[0][30_500] = Number.NaN
    const facts = factsOf(channels, 48000, 1024)
    expect(facts.firstNonFinite).toEqual({ channel, frame: 30_001 })
    expect(facts.frames).toBe(48000)
    const before = factsOf([clean.slice(0, 30_001), clean.slice(0, 30_001)])
    expect(facts.integratedLufs).toBeCloseTo(before.integratedLufs!, 9)
    expect(facts.truePeakDbtp).toBeCloseTo(before.truePeakDbtp!, 9)
    expect(facts.samplePeakDbfs).toBe(before.samplePeakDbfs)
  })

  it('has no value for nothing, and one finding for silence', () => {
    const empty = createTakeMeter({ sampleRateHz: 48000, channels: 1 }).facts()
    expect(empty).toMatchObject({
      frames: 0,
      integratedLufs: null,
      truePeakDbtp: null,
      samplePeakDbfs: null,
      dcOffset: null,
      findings: [],
    })
    const silent = factsOf([new Float64Array(48000)])
    expect(silent).toMatchObject({
      integratedLufs: null,
      truePeakDbtp: null,
      samplePeakDbfs: null,
      dcOffset: 0,
    })
    expect(silent.findings).toHaveLength(1)
    expect(silent.findings[0]).toMatchObject({ kind: 'silent', value: 100, unit: '%' })
  })

  it('reports long digital zero with its share and places, but not pauses with a floor', () => {
    const signal = tone(10 * 48000, 48000, 997, 0.1)
    signal.fill(0, 48000, 4 * 48000)
    signal.fill(0, 6 * 48000, 9 * 48000)
    const finding = findingOf([signal, signal], 'silent')!
    expect(finding.value).toBeCloseTo(60, 1)
    expect(finding.atSeconds).toHaveLength(2)
    expect(Math.abs(finding.atSeconds[1] - 6)).toBeLessThan(0.001)
    expect(findingOf([signal, tone(10 * 48000, 48000, 50, 1e-5)], 'silent')).toBeUndefined()
  })

  it('reports a true peak over full scale with its places, and no 0 dBFS sine', () => {
    const hot = toneSequence(
      [
        { seconds: 1, peakDbfs: -6 },
        { seconds: 1, peakDbfs: 1.5 },
      ],
      48000,
    )
    const finding = findingOf([hot], 'over-full-scale')!
    expect(finding.value).toBeCloseTo(1.5, 1)
    expect(Math.abs(finding.atSeconds[0] - 1)).toBeLessThan(0.001)
    for (const frequencyHz of [50, 997, 5000, 15000]) {
      const full = fadeEnds(tone(48000, 48000, frequencyHz, 1), 48000, 20)
      expect(findingOf([full], 'over-full-scale')).toBeUndefined()
    }
  })
})

describe('clipped runs', () => {
  /** Bursts of a rich tone, of which every third is driven into a flat top `overDb` high. */
  function planted(overDb: number, scale: number): { signal: Float64Array; atSeconds: number[] } {
    const burstFrames = 24000
    const bursts = 12
    const signal = new Float64Array(burstFrames * bursts)
    const atSeconds: number[] = []
    for (let b = 0; b < bursts; b++) {
      const burst = fadeEnds(toneCluster(burstFrames - 2400, 48000, 150, 1200, 8, 0.5), 48000, 30)
      const driven = b % 3 === 1
      for (let n = 0; n < burst.length; n++) {
        const sample = driven ? burst[n] * 2 * 10 ** (overDb / 20) : burst[n]
        signal[b * burstFrames + n] = Math.max(-0.9, Math.min(0.9, sample)) * scale
      }
      if (driven) atSeconds.push(b / 2)
    }
    return { signal, atSeconds }
  }

  it.each([
    [3, 1],
    [1, 1],
    [3, 10 ** (-10 / 20)],
    [6, 10 ** (-20 / 20)],
  ])(
    'finds tops cut %d dB deep and scaled by %d afterwards, in 16 and 24 bit, only where they are',
    (overDb, scale) => {
      for (const bits of [16, 24]) {
        const { signal, atSeconds } = planted(overDb, scale)
        const finding = findingOf([quantised(signal, bits)], 'clipping')!
        expect(finding.value).toBeGreaterThanOrEqual(atSeconds.length)
        for (const start of atSeconds) {
          expect(
            finding.atSeconds.some((at) => at >= start && at < start + 0.5),
            `clip at ${start} s`,
          ).toBe(true)
        }
        for (const at of finding.atSeconds) {
          expect(
            atSeconds.some((start) => at >= start && at < start + 0.5),
            `false alarm at ${at} s`,
          ).toBe(true)
        }
      }
    },
  )

  it.each([100, 300, 997, 1000, 2000])(
    'finds a plain %d Hz sine cut 3 dB deep, in float and in 16 bit, once per top',
    (frequencyHz) => {
      const cut = tone(48000, 48000, frequencyHz, 1, 10).map((sample) =>
        Math.max(-0.7079, Math.min(0.7079, sample)),
      )
      for (const signal of [cut, quantised(cut, 16)]) {
        const finding = findingOf([signal], 'clipping')!
        expect(Math.abs(finding.value - 2 * frequencyHz)).toBeLessThanOrEqual(2)
        expect(finding.atSeconds[0]).toBeLessThan(0.02)
      }
    },
  )

  it('finds nearly every run of 4 or more samples (recall 0.95)', () => {
    const signal = toneCluster(10 * 48000, 48000, 90, 900, 14, 1.6).map(
      (sample) => Math.max(-0.8, Math.min(0.8, sample)) * 0.3,
    )
    let runs = 0
    for (const top of [0.24, -0.24]) {
      for (let n = 0, length = 0; n < signal.length; n++) {
        length = Math.abs(signal[n] - top) < 1e-12 ? length + 1 : 0
        if (length === 4) runs++
      }
    }
    const found = findingOf([quantised(signal, 24)], 'clipping')!.value
    console.log(`  ${found} runs found, ${runs} of 4 samples or more planted`)
    expect(runs).toBeGreaterThan(50)
    expect(found).toBeGreaterThanOrEqual(0.95 * runs)
  })

  it.each([8, 16, 24])('raises no alarm on clean tones at 0 dBFS in %d bit, from 20 Hz to 15 kHz', (bits) => {
    for (const frequencyHz of [20, 30, 50, 100, 440, 1000, 5000, 12000, 15000]) {
      for (const peak of [1, 0.25]) {
        const signal = quantised(tone(96000, 48000, frequencyHz, peak * (1 - 2 ** (1 - bits))), bits)
        expect(findingOf([signal], 'clipping'), `${frequencyHz} Hz at ${peak}`).toBeUndefined()
      }
    }
  })

  it.each([
    ['sung hook', PAPER_LANTERNS_HOOK, SUNG_ALTO],
    ['rap verse', SEVEN_STAIRS_VERSE, RAP_BARITONE],
  ])('raises no alarm on a clean generated voice: %s at -0.1 dBFS in 16 and 24 bit', (_, score, singer) => {
    const performance = { singer, deviations: LEAD_DEVIATIONS, effortDb: 0, peakDbfs: -0.1, popLevelDb: 0 }
    const voice = Float64Array.from(
      renderVoice(score, performance, { sampleRateHz: 48000, seed: 11 }).samples,
    )
    for (const bits of [16, 24]) expect(findingOf([quantised(voice, bits)], 'clipping')).toBeUndefined()
  })

  it('raises no alarm on slow clean tops that begin with a block', () => {
    const slow = quantised(tone(48000, 48000, 25, 0.9), 16)
    for (const blockFrames of [1, 2, 61]) {
      expect(factsOf([slow], 48000, blockFrames).findings).toEqual([])
    }
  })

  it('finds a clipped passage that is quieter than a later clean peak', () => {
    const signal = tone(96000, 48000, 300, 0.9)
    for (let n = 0; n < 24000; n++) signal[n] = Math.max(-0.4, Math.min(0.4, signal[n]))
    for (let n = 72000; n < 96000; n++) signal[n] = Math.min(0.8, signal[n])
    const finding = findingOf([quantised(signal, 16)], 'clipping')!
    // 150 periods cut on both sides, 150 on one side; the frame of 7000 samples across each change may miss its part.
    const missed = (7000 / 48000) * 300
    expect(finding.value).toBeLessThanOrEqual(450)
    expect(finding.value).toBeGreaterThan(450 - 3 * missed)
    expect(finding.places!.every(({ fromS, toS }) => toS <= 0.501 || fromS >= 1.499)).toBe(true)
    expect(finding.places![0].fromS).toBeLessThan(0.01)
    expect(finding.places!.at(-1)!.toS).toBeGreaterThan(1.99)
  })

  it('raises no alarm on dense clean material or on a constant', () => {
    for (const bits of [16, 24]) {
      for (const peak of [1, 0.1, 0.02]) {
        const clean = quantised(toneCluster(10 * 48000, 48000, 70, 9000, 60, peak * 0.999), bits)
        expect(findingOf([clean], 'clipping')).toBeUndefined()
      }
    }
    expect(findingOf([new Float64Array(48000).fill(0.5)], 'clipping')).toBeUndefined()
  })
})

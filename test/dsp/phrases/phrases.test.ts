import { describe, expect, it } from 'vitest'
import { findPhrases } from '../../../app/dsp/phrases/find-phrases.ts'
import { LOOSE_DOUBLE_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { haveMaterial } from '../../require-tool.ts'
import { addWhiteNoise, CLIPS, throughFfmpeg } from '../../signals/checking.ts'
import { musicLoop } from '../../signals/music-loop.ts'
import { countBorders, countLines, known, quantileOf, timingErrors } from '../../signals/phrases/counted.ts'
import { randomLines, scoreOf, take } from '../../signals/phrases/scores.ts'
import { announcementLines, spokenTake } from '../../signals/phrases/spoken.ts'
import { framesOf } from '../../signals/phrases/surveyed.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'

const lines = randomLines(10, 3, 'rap')
const inOrder = [...lines.keys()]
const lead = take(scoreOf(lines), 1)
const guide = known(lead.samples, lead.truth, inOrder)

describe('phrases', () => {
  it.each([-27, -17, -12])('stand apart though breaths at %d dB are between them', (breathLevelDb) => {
    const { samples, truth } = take(scoreOf(lines), 8, { breathLevelDb })
    const counted = countBorders(known(samples, truth, inOrder), 0.28)
    expect(counted.gaps).toBeGreaterThan(4)
    expect(counted.apart).toBe(counted.gaps)
    expect(counted.extra).toBe(0)
  })

  it('are not found in silence, noise and music', () => {
    const seconds = 10 * 48_000
    expect(findPhrases(framesOf(new Float64Array(seconds)))).toMatchObject({ phrases: [], doubt: 'silent' })
    expect(findPhrases(framesOf(addWhiteNoise(new Float64Array(seconds), -20, 1)))).toMatchObject({
      phrases: [],
      doubt: 'no-pause',
    })
    const short = addWhiteNoise(new Float64Array(48_000 * 3), -20, 1)
    expect(findPhrases(framesOf(short)).phrases).toEqual([])
    expect(findPhrases(framesOf(musicLoop(12, 48_000))).phrases).toEqual([])
  })
})

describe('lines', () => {
  it('are known again in a loose double and behind another mic', () => {
    const double = take(scoreOf(lines), 2, { deviations: LOOSE_DOUBLE_DEVIATIONS, effortDb: -4 })
    const other = throughFfmpeg(
      Float64Array.from(double.samples),
      'highpass=f=180,equalizer=f=6000:t=q:w=0.7:g=8',
    )
    for (const samples of [double.samples, other]) {
      expect(countLines(guide, known(samples, double.truth, inOrder))).toMatchObject({ wrong: 0, unfound: 0 })
    }
  })

  it('are named as missing, repeated and extra where a take has others', () => {
    const order = [0, 1, 2, 4, 5, 5, 7, 6, 8, 9]
    const other = randomLines(2, 71, 'rap')
    const score = scoreOf([...order.map((i) => lines[i]), ...other])
    const { samples, truth } = take(score, 4)
    const counted = countLines(guide, known(samples, truth, [...order, -1, -2]))
    expect(counted).toMatchObject({ wrong: 0, unfound: 0, repeated: 1 })
    expect(counted.extra).toBeGreaterThan(0)
  })

  it('of other words are not matched', () => {
    const { samples, truth } = take(scoreOf(randomLines(10, 72, 'rap')), 5)
    expect(
      countLines(
        guide,
        known(
          samples,
          truth,
          inOrder.map(() => -1),
        ),
      ),
    ).toMatchObject({ right: 0, wrong: 0 })
  })

  it('are known again from another singer', () => {
    const { samples, truth } = take(scoreOf(lines), 6, {}, SUNG_ALTO)
    expect(countLines(guide, known(samples, truth, inOrder))).toMatchObject({ wrong: 0, unfound: 0 })
  })

  it.skipIf(!haveMaterial(CLIPS))('of real speech are known again, left out, moved and doubled', () => {
    const spoken = announcementLines()
    const order = [0, 1, 3, 4, 4, 5, 7]
    const counted = countLines(
      spokenTake(spoken, [0, 1, 2, 3, 4, 5, 6, 7], 0.5),
      spokenTake(spoken, order, 0.5, [0.1, -0.08, 0.05]),
    )
    expect(counted).toMatchObject({ wrong: 0, unfound: 0 })
  })
})

describe('timing', () => {
  it.each([
    ['tight', TIGHT_DOUBLE_DEVIATIONS],
    ['loose', LOOSE_DOUBLE_DEVIATIONS],
  ])('of a %s double is within the figures of onsets and lines', (_, deviations) => {
    const errors = timingErrors(lead, take(scoreOf(lines), 2, { deviations }))
    expect(errors.onsets.length).toBeGreaterThan(50)
    expect(quantileOf(errors.onsets, 0.5)).toBeLessThanOrEqual(3)
    expect(quantileOf(errors.onsets, 0.95)).toBeLessThanOrEqual(10)
    expect(quantileOf(errors.lines, 0.5)).toBeLessThanOrEqual(3)
    expect(Math.max(...errors.lines)).toBeLessThanOrEqual(8)
  })

  it('of a take against itself is 0', () => {
    const { onsets, lines: whole } = timingErrors(lead, lead)
    expect(Math.max(...onsets, ...whole)).toBeLessThan(1e-6)
  })
})

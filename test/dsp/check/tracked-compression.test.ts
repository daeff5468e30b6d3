import { describe, expect, it } from 'vitest'
import { SPREAD_MOST_DB } from '../../../app/dsp/check/tracked-compression.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { announcements, CLIPS, checkOf, phrasedTake, SINGERS, songTake } from '../../signals/checking.ts'
import { levelledTake } from '../../signals/planted-faults.ts'

describe('compression while tracking, as a hint', () => {
  const room = { reflections: [], noiseFloorDbfs: -60 }
  const plain = SINGERS.flatMap((singer, i) =>
    [false, true].map((breath) => phrasedTake(singer, i + 2, breath, { room }).samples),
  )

  it('raises no alarm on takes that nothing compressed', () => {
    const takes = [...plain, ...SINGERS.flatMap((one) => [4, 5].map((seed) => songTake(one, seed).samples))]
    const alarms = takes.filter((take) => checkOf(take).evidence.trackedCompression.isLikely)
    console.log(`  ${alarms.length} alarms in ${takes.length} takes`)
    expect(alarms).toHaveLength(0)
    // Each mark by itself: the levels spread, and the noise stays where it is.
    for (const take of plain) {
      const { levelSpreadDb, noiseRiseDb } = checkOf(take).evidence.trackedCompression
      expect(levelSpreadDb!).toBeGreaterThan(SPREAD_MOST_DB)
      expect(Math.abs(noiseRiseDb!)).toBeLessThan(0.2)
    }
  })

  it.each([
    [-17, 0.15],
    [-20, 1],
    [-26, 1],
    [-32, 1],
  ])('finds the levelling of this program, threshold %d dBFS', (thresholdDbfs, least) => {
    let found = 0
    const reductions: number[] = []
    for (const samples of plain) {
      const { take, reductionDb } = levelledTake(samples, thresholdDbfs)
      reductions.push(reductionDb)
      if (checkOf(take).findings.some(({ kind }) => kind === 'likely-compressed')) found++
    }
    console.log(
      `  ${found} of ${plain.length} found at ${Math.min(...reductions).toFixed(0)} to ${Math.max(...reductions).toFixed(0)} dB of reduction`,
    )
    expect(found).toBeGreaterThanOrEqual(least * plain.length)
  })

  it.skipIf(!haveMaterial(CLIPS) || !hasTool('ffmpeg'))('raises no alarm on real speech', () => {
    expect(checkOf(announcements()).evidence.trackedCompression.isLikely).toBe(false)
  })
})

// Mending of files: sums to the sample, what is left alone and why, and paths that are refused. What was written
// is read by ffmpeg as well.

import { existsSync, mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { RepairReport } from '../../../app/contract/repairs/repair-report.ts'
import { repairFile } from '../../../app/services/single-files/repair-file.ts'
import { decoded, phrasedTake, SINGERS, songTake } from '../../signals/checking.ts'
import {
  changedOutside,
  clippedAt,
  driftingHum,
  mended,
  QUIET_CONTEXT,
  readWave,
  sampleClicks,
  sumError,
  writeWave,
} from '../../signals/mending.ts'
import { whiteNoise } from '../../signals/noise.ts'

const KINDS = ['clipped', 'clicks', 'pops', 'hum'] as const
const voice = Float64Array.from(songTake(SINGERS[1], 3).samples).subarray(0, 6 * 48_000)
const ofVoice = (gain = 1): Float64Array => voice.map((sample) => gain * sample)

it.each(['pcm-16', 'pcm-24', 'pcm-32', 'float-64'] as const)(
  '%s: the result keeps the encoding, and adds up to the take with what was taken away',
  async (encoding) => {
    const { take } = sampleClicks(clippedAt(ofVoice(0.7), 2).take, -24)
    const done = await mended([take], KINDS, { encoding })
    expect(done.report.encoding).toBe(encoding)
    expect(new Set(done.report.repairs.map(({ kind }) => kind))).toEqual(new Set(['clipped', 'clicks']))
    // Floats of 64 bits by one unit in the last place, as the difference has no room for more.
    expect(sumError(done)).toBeLessThanOrEqual(encoding === 'float-64' ? 2 ** -53 : 0)
    expect(changedOutside(done)).toBe(0)
    expect(() => RepairReport.parse(done.report)).not.toThrow()
  },
)

it('writes floats where a mended peak is beyond full scale, and still adds up', async () => {
  const { take, limit } = clippedAt(ofVoice(), 3)
  const loud = take.map((sample) => sample / limit)
  for (const encoding of ['pcm-16', 'pcm-24'] as const) {
    const done = await mended([loud], ['clipped'], { encoding })
    expect(done.report.encoding).toBe('float-32')
    expect(done.out[0].reduce((most, sample) => Math.max(most, sample), 0)).toBeGreaterThan(1)
    expect(sumError(done)).toBe(0)
    expect(changedOutside(done)).toBe(0)
  }
})

it('leaves a channel alone that has no click', async () => {
  const { take } = sampleClicks(ofVoice(0.5), -6)
  const clean = ofVoice(0.5)
  const done = await mended([take, clean], ['clicks'])
  expect(done.report.repairs.length).toBeGreaterThan(5)
  expect(done.out[1]).toEqual(done.take[1])
  expect(done.out[0]).not.toEqual(done.take[0])
})

it.each([
  ['silence', () => new Float64Array(144_000), 'silent'],
  ['noise', () => whiteNoise(10 * 48_000, 3, 0.1), 'not-one-voice'],
] as const)('mends nothing of %s and says why', async (_, make, why) => {
  const done = await mended([make()], KINDS)
  expect(done.report.repairs).toEqual([])
  expect(done.report.refused.map((one) => [one.kind, one.why])).toEqual(
    ['clicks', 'pops', 'hum'].map((kind) => [kind, why]),
  )
  expect(done.out).toEqual(done.take)
})

it('leaves a hum of 50.3 Hz under a voice at 100 Hz alone, and says that it is not that of the mains', async () => {
  const low = Float64Array.from(phrasedTake({ ...SINGERS[0], tonicHz: 100 }, 2, false).samples)
  const hum = driftingHum(low.length, 50.3, 0, -45)
  const done = await mended([low.map((sample, n) => sample + hum[n])], ['hum'])
  expect(done.report.repairs).toEqual([])
  expect(done.report.refused).toMatchObject([{ kind: 'hum', why: 'not-mains', fromS: 0 }])
  expect(done.out).toEqual(done.take)
})

it('leaves a take alone that has no unclipped sample', async () => {
  const square = ofVoice().map((sample) => (sample >= 0 ? 0.499 : -0.499))
  const done = await mended([square], ['clipped'])
  expect(done.report.repairs).toEqual([])
  expect(done.report.refused.length).toBeGreaterThan(0)
  expect(done.out).toEqual(done.take)
})

it('refuses results that exist, the take itself and one file for both; a cancelled call leaves nothing', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'mending-'))
  const [from, to, removed] = ['in.wav', 'out.wav', 'removed.wav'].map((name) => join(folder, name))
  writeWave(from, [ofVoice()], 'pcm-16')
  const wanted = { kinds: new Set(KINDS), isExplicit: false, breathsDb: 0 }
  const call = (paths: { from: string; to: string; removed: string | undefined }) =>
    repairFile({ ...paths, ...wanted }, QUIET_CONTEXT)
  await expect(call({ from, to: from, removed: undefined })).rejects.toThrow('is the take itself')
  await expect(call({ from, to, removed: from })).rejects.toThrow('is the take itself')
  await expect(call({ from, to, removed: to })).rejects.toThrow('named for both')
  const stopped = new AbortController()
  stopped.abort()
  await expect(
    repairFile({ from, to, removed, ...wanted }, { ...QUIET_CONTEXT, signal: stopped.signal }),
  ).rejects.toMatchObject({ code: 'cancelled' })
  expect(existsSync(to) || existsSync(removed)).toBe(false)
  await call({ from, to, removed })
  await expect(call({ from, to, removed: undefined })).rejects.toMatchObject({ code: 'conflict' })
  const [take] = readWave(from)
  const out = decoded(to)
  const difference = decoded(removed)
  expect(out.map((sample, n) => sample + difference[n])).toEqual(take)
})

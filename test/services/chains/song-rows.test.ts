// Rows along the song as the window gets them: read by key, kept as long as their stages stay, made again when lost.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { type JointRows, packRows, ROW_BANDS_HZ, unpackRows } from '../../../app/contract/song/joint-rows.ts'
import { rowsRoute } from '../../../app/contract/wire/sound-routes.ts'
import { SONG_BANDS } from '../../../app/dsp/meters/song/third-levels.ts'
import { createRowCache, hasRows, rowKeysOf } from '../../../app/services/chains/row-cache.ts'
import { createSoundRoutes } from '../../../app/services/takes/sound-routes.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const FRAMES = 96_000
const chain = (thresholdDbfs: number): ChainStages => [
  defaultStages['low-cut'],
  { ...defaultStages.expander, on: false },
  { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, thresholdDbfs } },
  defaultStages.ceiling,
]

async function openTake() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const file = join(shop.folder, 'a.wav')
  const [take] = await shop.takeIn(session, writeTake(file, [whiteNoise(FRAMES, 1, 0.5)]))
  const routes = createSoundRoutes(shop.workplace)
  return {
    shop,
    measure: (thresholdDbfs: number) =>
      shop.handlers.measureChain({ takeId: take.id, stages: chain(thresholdDbfs) }, context),
    read: async (key: string): Promise<JointRows | null> => {
      const answer = await routes(new Request(`http://window${rowsRoute(key)}`))
      if (answer === undefined || !answer.ok) return null
      return unpackRows(new Float32Array(await answer.arrayBuffer()))
    },
  }
}

it('every joint has rows under its key, a stage that is off those of the joint before', async () => {
  const { measure, read } = await openTake()
  const { rows } = await measure(-30)
  expect(rows).toMatchObject({ sampleRateHz: 48_000, frames: FRAMES, rowFrames: 1024 })
  expect(rows?.keys.length).toBe(5)
  expect(rows?.keys[2]).toBe(rows?.keys[1])
  for (const key of rows?.keys ?? []) expect((await read(key))?.powers.length).toBe(94)
  expect(await read('0'.repeat(64))).toBeNull()
})

it('a changed stage leaves the keys before it, and returning to earlier settings finds their rows', async () => {
  const { measure, read } = await openTake()
  const first = (await measure(-30)).rows!
  const second = (await measure(-20)).rows!
  expect(second.keys.slice(0, 3)).toEqual(first.keys.slice(0, 3))
  expect(second.keys[3]).not.toBe(first.keys[3])
  expect(second.keys[4]).not.toBe(first.keys[4])
  const before = await read(second.keys[3])
  // From here on the sound before the opto is kept, and measured from.
  for (const thresholdDbfs of [-22, -24, -26]) await measure(thresholdDbfs)
  const again = (await measure(-20)).rows!
  expect(again.keys).toEqual(second.keys)
  const after = await read(again.keys[3])
  for (const [row, db] of before!.mostDb.entries()) expect(after!.mostDb[row]).toBeCloseTo(db, 3)
})

it('rows of a kept joint that are lost are measured again from the take', async () => {
  const { shop, measure, read } = await openTake()
  for (const thresholdDbfs of [-20, -24, -28]) await measure(thresholdDbfs)
  const other: JointRows = {
    strandPowers: new Float32Array(6 * 3_100_000),
    thirds: new Uint8Array(24 * 3_100_000),
    powers: new Float32Array(3_100_000),
    loudnessPowers: new Float32Array(3_100_000),
    peaks: new Float32Array(3_100_000),
    leastDb: new Float32Array(3_100_000),
    mostDb: new Float32Array(3_100_000),
  }
  const { rows: before } = await measure(-28)
  shop.workplace.songRows.keep('another take', other)
  expect(await read(before!.keys[0])).toBeNull()
  const { rows } = await measure(-32)
  for (const key of rows!.keys) expect(await read(key)).not.toBeNull()
})

it('the cache lets go of what was used longest ago', () => {
  const cache = createRowCache()
  const rows = (count: number): JointRows => ({
    strandPowers: new Float32Array(6 * count),
    thirds: new Uint8Array(24 * count),
    powers: new Float32Array(count),
    loudnessPowers: new Float32Array(count),
    peaks: new Float32Array(count),
    leastDb: new Float32Array(count),
    mostDb: new Float32Array(count),
  })
  for (const key of ['a', 'b']) cache.keep(key, rows(900_000))
  expect(cache.hasAll(['a'])).toBe(true)
  cache.keep('c', rows(900_000))
  expect(['a', 'b', 'c'].map((key) => cache.read(key) !== null)).toEqual([true, false, true])
})

it('a take of hours has no rows, since a window could not hold them', () => {
  expect(hasRows((210 * 48_000) / 1024, 9)).toBe(true)
  expect(hasRows((6 * 3600 * 48_000) / 1024, 9)).toBe(false)
  expect(hasRows(0, 9)).toBe(false)
})

it('keys depend on the take, its rate and every stage before the joint', () => {
  const stage = (gainDb: number) => ({
    setup: { kind: 'trim' as const, settings: { gainDb, invertPolarity: false } },
  })
  const keys = rowKeysOf('take', 48_000, [stage(1), { setup: null }, stage(2)])
  expect(keys[1]).toBe(keys[2])
  expect(rowKeysOf('take', 48_000, [stage(1), stage(3)]).slice(0, 2)).toEqual(keys.slice(0, 2))
  expect(rowKeysOf('other', 48_000, [])[0]).not.toBe(keys[0])
  expect(rowKeysOf('take', 44_100, [])[0]).not.toBe(keys[0])
})

it('packing and unpacking give the same rows, and an odd length none', () => {
  const values = (count: number, from: number) => Float32Array.from({ length: count }, (_, i) => from + i)
  const rows: JointRows = {
    strandPowers: values(12, 0),
    // Bytes that read as no number where they stand in the place of a float.
    thirds: Uint8Array.from({ length: 48 }, (_, i) => (i % 4 < 2 ? 255 : i)),
    powers: values(2, 20),
    loudnessPowers: values(2, 30),
    peaks: values(2, 40),
    leastDb: values(2, 50),
    mostDb: values(2, 60),
  }
  expect(unpackRows(packRows(rows))).toEqual(rows)
  expect(unpackRows(new Float32Array(12))).toBeNull()
})

it('the window and the engine have the same third octaves', () => {
  expect(ROW_BANDS_HZ).toEqual(SONG_BANDS.map(({ nominalHz }) => nominalHz))
})

// Rows along the song over a restart: there at once, the same to the last bit, and of nothing but their own settings.

import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const chain = (thresholdDbfs: number): ChainStages => [
  defaultStages['low-cut'],
  { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, thresholdDbfs } },
]

async function openTake() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [take] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [whiteNoise(96_000, 1, 0.5)]),
  )
  const { path } = shop.workplace.catalogue
  const measureIn = (workplace: Workplace, thresholdDbfs: number) =>
    createHandlers(workplace).measureChain({ takeId: take.id, stages: chain(thresholdDbfs) }, context)
  return {
    ...shop,
    path,
    measureIn,
    files: () => readdirSync(shop.workplace.folders.peaks).filter((name) => name.endsWith('.rows')),
    /** In a start of the program of its own; a measurement is made by its threads. */
    async again(thresholdDbfs: number) {
      const workplace = openWorkplace(path)
      let runs = 0
      const counted: Workplace = Object.create(workplace, {
        pool: {
          value: {
            ...workplace.pool,
            threads: workplace.pool.threads,
            run: (...args: Parameters<typeof workplace.pool.run>) => {
              runs++
              return workplace.pool.run(...args)
            },
          },
        },
      })
      const song = await measureIn(counted, thresholdDbfs)
      const rows = song.rows!.keys.map((key) => workplace.songRows.read(key))
      await workplace.close()
      return { song, rows, runs }
    },
  }
}

it('a measured chain is there after a restart without measuring, bit for bit', async () => {
  const { workplace, measureIn, again, files } = await openTake()
  const before = await measureIn(workplace, -30)
  const rows = before.rows!.keys.map((key) => workplace.songRows.read(key))
  workplace.keptSongs.flush()
  expect(files()).toHaveLength(1)
  const after = await again(-30)
  expect(after.runs).toBe(0)
  expect(after.song).toEqual(before)
  expect(after.rows).toEqual(rows)
  // Other settings are other rows.
  const other = await again(-20)
  expect(other.runs).toBeGreaterThan(0)
  expect(other.rows.at(-1)).not.toEqual(rows.at(-1))
})

it('only the settings that a take was measured with last are kept, in one file', async () => {
  const { workplace, measureIn, again, files } = await openTake()
  for (const thresholdDbfs of [-30, -28, -26]) await measureIn(workplace, thresholdDbfs)
  workplace.keptSongs.flush()
  await measureIn(workplace, -24)
  workplace.keptSongs.flush()
  expect(files()).toHaveLength(1)
  expect((await again(-24)).runs).toBe(0)
})

it('a damaged file is measured again and then replaced', async () => {
  const { workplace, measureIn, again, files } = await openTake()
  await measureIn(workplace, -30)
  workplace.keptSongs.flush()
  const file = join(workplace.folders.peaks, files()[0])
  const bytes = readFileSync(file)
  bytes[bytes.length - 3] ^= 1
  writeFileSync(file, bytes)
  expect((await again(-30)).runs).toBeGreaterThan(0)
  expect((await again(-30)).runs).toBe(0)
  writeFileSync(file, '')
  expect((await again(-30)).runs).toBeGreaterThan(0)
})

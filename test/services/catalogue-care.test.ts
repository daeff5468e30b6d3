// Maintenance of an open catalogue (snapshots, damage checks, clean-up), and its file permissions.

import { existsSync, mkdirSync, statSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { basename, join } from 'node:path'
import { expect, it, onTestFinished, vi } from 'vitest'
import { careForCatalogue, checkCatalogue } from '../../app/services/catalogue-care.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { isQuickToCheck } from '../../db/care/damage.ts'
import { listSnapshots } from '../../db/care/snapshots.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { minute } from '../db/entries.ts'
import { rawOn } from '../db/raw-connection.ts'
import { temporaryFolder } from '../db/temporary-folder.ts'
import { whiteNoise } from '../signals/noise.ts'
import { context, openWorkshop, writeTake } from './workshop.ts'

it('a snapshot is taken on opening, and again once something has changed', async () => {
  const path = join(temporaryFolder(), 'catalogue.sqlite')
  let hour = 0
  const workplace = openWorkplace(path, () => new Date(Date.UTC(2026, 10, 27, hour)).toISOString())
  const keepOne = async (count: number): Promise<void> => {
    hour += 2
    const stop = careForCatalogue(workplace)
    await expect.poll(() => listSnapshots(path).length, { timeout: 20_000 }).toBe(count)
    stop()
  }
  try {
    await keepOne(1)
    workplace.catalogue.artists.insert({ name: 'One', note: '' }, minute(1))
    await keepOne(2)
    expect(workplace.warnings).toEqual([])
  } finally {
    await workplace.close()
  }
})

it('a large catalogue opens at once, and its damage is reported to windows open now and later', async () => {
  const path = join(temporaryFolder(), 'catalogue.sqlite')
  const large = openCatalogue(path)
  const note = 'x'.repeat(1_000_000)
  large.transaction(() => {
    for (let n = 0; n < 34; n++) large.artists.insert({ name: `Artist ${n}`, note }, minute(1))
  })
  large.close()
  const raw = rawOn(path)
  raw.exec("UPDATE row_hashes SET hash = '00000000000000000000000000000000' WHERE key = '[20]'")
  raw.pragma('wal_checkpoint(TRUNCATE)')
  raw.close()
  expect(isQuickToCheck(path)).toBe(false)

  const workplace = openWorkplace(path)
  try {
    const heard: unknown[] = []
    workplace.subscribe((name, data) => heard.push([name, data]))
    const stop = careForCatalogue(workplace)
    await expect.poll(() => workplace.warnings.length, { timeout: 30_000 }).toBe(1)
    stop()
    expect(workplace.warnings[0]).toMatch(/is damaged \(the row artists \[20\]/)
    expect(heard).toEqual([['warning', { message: workplace.warnings[0] }]])
    await expect(checkCatalogue(workplace)).rejects.toMatchObject({ code: 'catalogue-damaged' })
  } finally {
    await workplace.close()
  }
})

it.runIf(process.platform !== 'win32')(
  'only their user can access the catalogue and its cache folders',
  async () => {
    const { workplace, handlers } = openWorkshop()
    await handlers.createArtist({ name: 'One', note: '' }, context)
    const { peaks, working } = workplace.folders
    for (const path of [workplace.catalogue.path, `${workplace.catalogue.path}-wal`, peaks, working]) {
      expect([path, statSync(path).mode & 0o077]).toEqual([path, 0])
    }
  },
)

it('opening a catalogue removes what a killed process left behind, except folders with imported takes', async () => {
  const { workplace, folder, ...shop } = openWorkshop()
  vi.stubEnv('XDG_CACHE_HOME', join(folder, 'cache'))
  onTestFinished(() => void vi.unstubAllEnvs())
  const [withTake, without] = ['0', '1'].map((digit) => join(folder, `.takeloft-${digit.repeat(24)}`))
  const journal = join(folder, 'cache/Takeloft/unfinished')
  mkdirSync(journal, { recursive: true })
  for (const [n, path] of [withTake, without].entries()) {
    mkdirSync(path)
    writeTake(join(path, 'stem.wav'), [whiteNoise(5000, n)])
    const entry = { path, kind: 'folder', host: hostname(), pid: 999_999_999 }
    writeFileSync(join(journal, `${n}.json`), JSON.stringify(entry))
    writeFileSync(join(journal, `${basename(path)}.files`), '"stem.wav"\n')
  }
  await shop.takeIn(await shop.createSession(), join(withTake, 'stem.wav'))
  await openWorkplace(workplace.catalogue.path).close()
  expect([withTake, without].map((path) => existsSync(path))).toEqual([true, false])
})

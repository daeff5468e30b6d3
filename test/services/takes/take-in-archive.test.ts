// A take that is found in an archive is copied out of it: the archive may be deleted or moved, and shares its files.

import { execFileSync } from 'node:child_process'
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { expect, it, vi } from 'vitest'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { relocateTakes } from '../../../app/services/takes/relocate-takes.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function archivedTake() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const path = writeTake(join(shop.folder, 'verse lead.wav'), [whiteNoise(4800, 1, 0.3)])
  const [take] = await shop.takeIn(session, path)
  const archives = join(shop.folder, 'archives')
  const { bag } = await archiveSession(shop.workplace, { sessionId: session.id, folder: archives }, context)
  const inBag = join(bag, 'data/takes', readdirSync(join(bag, 'data/takes'))[0]!)
  return { ...shop, path, take: take!, archives, bag, inBag }
}
const sha256sum = (path: string): string =>
  execFileSync('sha256sum', [path], { encoding: 'utf8' }).slice(0, 64)

it('relocated from an archive it is where it was, as a file of its own, and stays when the archive goes', async () => {
  const { workplace, handlers, path, take, archives, bag, inBag } = await archivedTake()
  rmSync(path)
  const { found } = await relocateTakes(workplace, archives, context)
  expect(found).toMatchObject([{ path }])
  expect(sha256sum(path)).toBe(take.sha256)
  expect(statSync(path).ino).not.toBe(statSync(inBag).ino)
  expect(workplace.warnings.join()).toContain(
    `was copied to ${path}. It was found in ${bag}, which may be moved or deleted`,
  )
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: bag })
  rmSync(bag, { recursive: true })
  expect(await handlers.listMissingTakes({ sessionId: null }, context)).toEqual([])
})

it('a copy in an archive that is chosen is copied beside the catalogue where the damaged file has the name', async () => {
  const { folder, workplace, handlers, path, take, inBag, tampered } = await archivedTake()
  tampered.add(path)
  writeFileSync(path, 'X', { flag: 'r+' })
  expect(await handlers.findTakeCopies({ takeId: take.id }, context)).toEqual({ paths: [inBag] })
  await handlers.relinkTakes({ takes: [{ id: take.id, path: inBag }] }, context)
  const { path: now } = workplace.catalogue.takes.get(take.id)
  expect(now).toBe(`takes/${take.sha256.slice(0, 12)}_${inBag.split('/').at(-1)!.slice(13)}`)
  expect(sha256sum(join(folder, now))).toBe(take.sha256)
  expect(statSync(join(folder, now)).ino).not.toBe(statSync(inBag).ino)
})

it('a file outside of archives is preferred, whatever its name and however long it takes to read', async () => {
  const { folder, workplace, path, inBag } = await archivedTake()
  const other = join(folder, 'archives', 'zz other.wav')
  renameSync(path, other)
  const { pool } = workplace
  const run = pool.run.bind(pool)
  vi.spyOn(pool, 'run').mockImplementation(async (job, input, options) => {
    if ((input as { path?: string }).path === other) await sleep(1000)
    return run(job, input, options)
  })
  const { found } = await relocateTakes(workplace, join(folder, 'archives'), context)
  expect(found).toMatchObject([{ path: other }])
  expect(existsSync(inBag)).toBe(true)
  expect(existsSync(path)).toBe(false)
  expect(workplace.warnings).toEqual([])
})

it('another file at both places is not written over', async () => {
  const { folder, workplace, handlers, path, take, inBag, tampered } = await archivedTake()
  tampered.add(path)
  writeFileSync(path, 'another')
  mkdirSync(join(folder, 'takes'))
  const name = inBag.split('/').at(-1)!
  const beside = join(folder, 'takes', name)
  copyFileSync(path, beside)
  await expect(
    handlers.relinkTakes({ takes: [{ id: take.id, path: inBag }] }, context),
  ).rejects.toMatchObject({
    code: 'conflict',
  })
  expect(statSync(beside).size).toBe(7)
  expect(workplace.catalogue.takes.get(take.id).path).toBe(take.path)
})

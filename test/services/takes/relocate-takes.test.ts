// Missing takes of many sessions are found in one act. Their hashes are compared with sha256sum of the coreutils.

import { execFileSync } from 'node:child_process'
import { copyFileSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { auditTake } from '../../../app/services/keeping/audit-take.ts'
import { relocateTakes } from '../../../app/services/takes/relocate-takes.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { runTakeloft } from '../../hosts/run-takeloft.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** Two sessions with two takes each; all four files were moved to `moved/`, under other names. */
async function movedTakes() {
  const shop = openWorkshop()
  const moved = join(shop.folder, 'moved', 'deep')
  mkdirSync(moved, { recursive: true })
  const takes = []
  for (const [n, names] of [
    [1, ['a', 'b']],
    [2, ['c', 'd']],
  ] as const) {
    const session = await shop.createSession().catch(async () => {
      const [artist] = await shop.handlers.listArtists({}, context)
      return shop.handlers.createSession(
        {
          ...{ artistId: artist.id, songTitle: 'Second Song', date: '2026-10-02', sampleRateHz: 48_000 },
          ...{ tempoBpm: 90, beatsPerBar: 4, notes: '', panLaw: 'minus-3-db', startOfDayS: 3600 },
          chainSharing: 'own',
        },
        context,
      )
    })
    const paths = names.map((name, k) =>
      writeTake(join(shop.folder, `${name}.wav`), [whiteNoise(24_000, n * 10 + k, 0.3)]),
    )
    takes.push(...(await shop.takeIn(session, ...paths)))
  }
  for (const { name } of takes) renameSync(join(shop.folder, `${name}.wav`), join(moved, `was ${name}.wav`))
  const sha256sum = (path: string): string =>
    execFileSync('sha256sum', [path], { encoding: 'utf8' }).slice(0, 64)
  return { shop, takes, moved, sha256sum }
}

describe('relocating', () => {
  it('finds the takes of all sessions by their bytes, in one transaction that one act undoes', async () => {
    const { shop, takes, moved, sha256sum } = await movedTakes()
    const { handlers, workplace } = shop
    const transactions = vi.spyOn(workplace.catalogue, 'transaction')
    const { found, missing } = await relocateTakes(workplace, join(shop.folder, 'moved'), context)
    expect(missing).toEqual([])
    // Takes are listed in the order in which their imports ended.
    expect(found.map(({ name, path }) => [name, path]).sort()).toEqual(
      takes.map(({ name }) => [name, join(moved, `was ${name}.wav`)]).sort(),
    )
    for (const { path, sha256 } of found) expect(sha256sum(path)).toBe(sha256)
    expect(transactions).toHaveBeenCalledTimes(1)
    expect(await handlers.listMissingTakes({ sessionId: null }, context)).toEqual([])

    await handlers.restoreTakePlaces(
      { takes: takes.map(({ id, path, copies }) => ({ id, path, copies })) },
      context,
    )
    expect(
      (await handlers.listMissingTakes({ sessionId: null }, context)).map(({ id }) => id).sort(),
    ).toEqual(takes.map(({ id }) => id).sort())
  })

  it('finds the copy of a take that was edited in its place, seen by its time stamp or by a check', async () => {
    const shop = openWorkshop()
    const { workplace } = shop
    const session = await shop.createSession()
    const takes = await shop.takeIn(
      session,
      ...[1, 2].map((seed) => writeTake(join(shop.folder, `${seed}.wav`), [whiteNoise(24_000, seed, 0.3)])),
    )
    const backup = join(shop.folder, 'backup')
    mkdirSync(backup)
    const edit = (name: string): void => {
      const path = join(shop.folder, `${name}.wav`)
      copyFileSync(path, join(backup, `${name}.wav`))
      const bytes = readFileSync(path)
      bytes[1000]! ^= 1
      writeFileSync(path, bytes)
      shop.tampered.add(path)
    }
    const [first, second] = takes
    edit(first!.name)
    edit(second!.name)
    // The second was found out by a check, whose notes are all that is left of it in a new program.
    await auditTake(workplace, second!.id, new AbortController().signal)
    const again = openWorkplace(workplace.catalogue.path)
    const { found, missing } = await relocateTakes(again, backup, context)
    await again.close()
    expect(missing).toEqual([])
    expect(found.map(({ name }) => name).sort()).toEqual([first!.name, second!.name].sort())
  })

  it('hashes a file only where its size is that of a missing take, and each once', async () => {
    const { shop, moved } = await movedTakes()
    copyFileSync(join(moved, 'was a.wav'), join(moved, 'longer.wav'))
    writeFileSync(join(moved, 'longer.wav'), 'one byte more', { flag: 'a' })
    writeTake(join(moved, 'same size.wav'), [whiteNoise(24_000, 99, 0.3)])
    const jobs = vi.spyOn(shop.workplace.pool, 'run')
    const { found } = await relocateTakes(shop.workplace, moved, context)
    expect(found).toHaveLength(4)
    const hashed = jobs.mock.calls
      .filter(([job]) => job === 'hashFile')
      .map(([, input]) => (input as { path: string }).path)
    expect(hashed).not.toContain(join(moved, 'longer.wav'))
    expect(new Set(hashed).size).toBe(hashed.length)
  })

  it('one take that is not there is named, and the others are found', async () => {
    const { shop, moved } = await movedTakes()
    renameSync(join(moved, 'was b.wav'), join(shop.folder, 'hidden.wav'))
    const { found, missing } = await relocateTakes(shop.workplace, moved, context)
    expect(found.map(({ name }) => name).sort()).toEqual(['a', 'c', 'd'])
    expect(missing).toMatchObject([{ name: 'b', path: join(shop.folder, 'b.wav') }])
  })

  it('is a verb of the command line', async () => {
    const { shop, moved } = await movedTakes()
    const { catalogue } = shop.workplace
    const call = ['relocate', '--catalogue', catalogue.path, '--json', moved]
    const { status, stdout } = await runTakeloft(call)
    expect(status).toBe(0)
    const { found, missing } = JSON.parse(stdout) as { found: { name: string }[]; missing: unknown[] }
    expect(missing).toEqual([])
    expect(found.map(({ name }) => name).sort()).toEqual(['a', 'b', 'c', 'd'])
  })
})

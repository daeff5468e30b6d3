// The audit of takes: rot, edits and disappearance are told apart (fixity by SHA-256, FIPS 180-4).

import { copyFileSync, readFileSync, renameSync, statSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { auditTakes, auditWhileIdle } from '../../../app/services/keeping/audit.ts'
import { auditTake } from '../../../app/services/keeping/audit-take.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function takesToAudit(count: number) {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const paths = Array.from({ length: count }, (_, k) =>
    writeTake(join(shop.folder, `take-${k}.wav`), [whiteNoise(4800, k + 1, 0.3)]),
  )
  // A whole second, which utimes can restore exactly.
  for (const path of paths) utimesSync(path, 1_700_000_000, 1_700_000_000)
  const takes = await shop.takeIn(session, ...paths)
  for (const path of paths) shop.tampered.add(path)
  return { shop, takes, paths, signal: new AbortController().signal }
}

/** Changes one byte; with `keepTime` as a failing disk does, without a new time stamp. */
function damage(path: string, keepTime: boolean): void {
  const { atime, mtime } = statSync(path)
  const bytes = readFileSync(path)
  bytes[1000]! ^= 1
  writeFileSync(path, bytes)
  if (keepTime) utimesSync(path, atime, mtime)
}

describe('the audit', () => {
  it('tells sound, rotten, edited and missing takes apart, and offers copies that have the bytes', async () => {
    const { shop, takes, paths } = await takesToAudit(4)
    const copy = join(shop.folder, 'copy.wav')
    copyFileSync(paths[1]!, copy)
    shop.workplace.catalogue.takes.noteCopy(takes[1]!.id, copy)
    damage(paths[1]!, true)
    damage(paths[2]!, false)
    renameSync(paths[3]!, join(shop.folder, 'gone.wav'))
    const audit = await auditTakes(shop.workplace, true, context)
    expect(audit).toMatchObject({ checked: 4, sound: 1, inUse: [] })
    const of = (name: string) => audit.findings.find((one) => one.name === name)
    expect(of(takes[1]!.name)).toMatchObject({ result: 'rot', copies: [copy] })
    expect(of(takes[2]!.name)).toMatchObject({ result: 'edited', copies: [] })
    expect(of(takes[3]!.name)).toMatchObject({ result: 'missing' })
    // What is rotten is not played as the take any more.
    expect(await shop.workplace.verifiedFiles.stateIfNoted(paths[1]!, takes[1]!)).toBe('changed')
    expect(shop.workplace.warnings.join()).toMatch(/is damaged/)
    const kinds = shop.workplace.catalogue.ledger
      .list({ limit: 100 })
      .filter(({ kind }) => kind === 'take-checked')
    expect(kinds).toHaveLength(2)
    // Told once.
    await auditTakes(shop.workplace, true, context)
    expect(
      shop.workplace.catalogue.ledger.list({ limit: 100 }).filter(({ kind }) => kind === 'take-checked'),
    ).toHaveLength(2)
  })

  it('says nothing of a take that is replaced while it is read', async () => {
    const { shop, takes, paths, signal } = await takesToAudit(1)
    const { pool } = shop.workplace
    const run = pool.run.bind(pool)
    vi.spyOn(pool, 'run').mockImplementation(async (name, input, options) => {
      const output = await run(name, input, options)
      damage(paths[0]!, false)
      return output
    })
    expect(await auditTake(shop.workplace, takes[0]!.id, signal)).toBeNull()
    expect(shop.workplace.catalogue.takeChecks.bytesSince('')).toBe(0)
  })

  it('reads every take within 30 days, and a thirtieth of the bytes a day', async () => {
    const { shop } = await takesToAudit(60)
    const { workplace } = shop
    let now = Date.parse('2027-01-01T00:00:00.000Z')
    const dated = { ...workplace, now: () => new Date(now).toISOString() }
    for (let day = 0; day < 30; day++) {
      const { checked } = await auditTakes(dated, false, context)
      expect(checked).toBe(2)
      now += 24 * 3600 * 1000 + 1000
    }
    expect(workplace.catalogue.takeChecks.findDue('2027-01-01T00:00:00.000Z', [])).toBeUndefined()
  })

  it('begins only while the program has nothing to do', async () => {
    const { shop } = await takesToAudit(2)
    const { workplace } = shop
    const list = vi.spyOn(workplace.backgroundTasks, 'list')
    list.mockReturnValue([{ id: 1, subject: { kind: 'demo' }, fraction: 0, doing: '', hasEnded: false }])
    const stop = auditWhileIdle(workplace, 10)
    await new Promise((resolve) => setTimeout(resolve, 300))
    expect(workplace.catalogue.takeChecks.bytesSince('')).toBe(0)
    list.mockReturnValue([])
    await vi.waitFor(() => expect(workplace.catalogue.takeChecks.bytesSince('')).toBeGreaterThan(0), 20_000)
    await stop()
  })
})

// A program that is killed while it archives or restores leaves no half archive and no half take, and the next call
// is whole.

import { spawn } from 'node:child_process'
import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { buildDemo } from '../../../app/services/demo/build-demo.ts'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { validateBag } from '../../../app/services/keeping/bag-folder.ts'
import { restoreBag } from '../../../app/services/keeping/restore-bag.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { checkTakesUnharmed } from '../../unharmed-takes.ts'
import { context } from '../workshop.ts'

const LAUNCHER = join(import.meta.dirname, '../../../app/hosts/command-line/takeloft.mjs')

const namesIn = (folder: string): string[] => {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}

/** Runs the command line and kills it as soon as a file is below an unfinished folder in `folder`. */
async function killWhileFilling(folder: string, words: readonly string[]): Promise<void> {
  const child = spawn(process.execPath, [LAUNCHER, ...words])
  const isFilling = (): boolean =>
    namesIn(folder)
      .filter((name) => name.startsWith('.takeloft-'))
      .some((name) =>
        readdirSync(join(folder, name), { recursive: true, withFileTypes: true }).some(
          (entry) =>
            entry.isFile() && statSync(join(entry.parentPath, entry.name), { throwIfNoEntry: false })?.size,
        ),
      )
  await expect.poll(isFilling, { timeout: 120_000, interval: 2 }).toBe(true)
  child.kill('SIGKILL')
  await new Promise((resolve) => child.once('exit', resolve))
}

it('killed while archiving and while restoring: nothing half is left, and the next call is whole', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-killed-'))
  try {
    const catalogue = join(folder, 'catalogue.sqlite')
    const out = join(folder, 'archives')
    const first = openWorkplace(catalogue)
    const [sessionId] = await buildDemo(first, context)
    await first.close()
    await killWhileFilling(out, [
      'archive',
      '--catalogue',
      catalogue,
      '--session',
      String(sessionId),
      '--out',
      out,
    ])
    expect(namesIn(out).filter((name) => name.startsWith('takeloft-session-'))).toEqual([])

    const after = openWorkplace(catalogue)
    expect(namesIn(out)).toEqual([])
    const { bag, takes } = await archiveSession(after, { sessionId: sessionId!, folder: out }, context)
    await validateBag(after.pool, bag, context)
    await after.close()

    const there = join(folder, 'there')
    const recordings = join(there, 'recordings')
    const other = join(there, 'catalogue.sqlite')
    await killWhileFilling(recordings, ['restore', bag, '--catalogue', other, '--takes', recordings])
    const restoring = openWorkplace(other)
    expect(namesIn(recordings).filter((name) => name.startsWith('.'))).toEqual([])
    const restored = await restoreBag(restoring, { bag, takes: recordings }, context)
    await restoring.close()
    expect(restored.copied + restored.there).toBe(takes)
    expect(restored.differing).toEqual([])
    expect(namesIn(recordings)).toHaveLength(takes)
    for (const path of [catalogue, other]) checkTakesUnharmed(path)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}, 300_000)

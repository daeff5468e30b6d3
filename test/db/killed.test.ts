// A process that is killed loses nothing that it had committed and leaves nothing half-done.
// The files are judged by Node's own build of SQLite, which is not the one that wrote them.

import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { DatabaseSync } from 'node:sqlite'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { describeSchema, schemaOf } from '../../db/schema.ts'
import { fill } from './entries.ts'
import { openForTest } from './open-for-test.ts'
import { temporaryFolder } from './temporary-folder.ts'

const script = new URL('child-writer.ts', import.meta.url).pathname

/** Runs the child until `isEnough` of the lines it said, kills it, and gives all that it said. */
async function runAndKill(
  act: string,
  path: string,
  isEnough: (lines: string[]) => boolean,
): Promise<string[]> {
  const child: ChildProcess = spawn(process.execPath, [script, act, path], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  const lines: string[] = []
  const exit = once(child, 'exit')
  for await (const line of createInterface({ input: child.stdout! })) {
    lines.push(line)
    if (isEnough(lines)) child.kill('SIGKILL')
  }
  expect((await exit)[1]).toBe('SIGKILL')
  return lines
}

function checkWithOtherSqlite(path: string): void {
  const db = new DatabaseSync(path)
  expect(db.prepare('PRAGMA integrity_check').all()).toEqual([{ integrity_check: 'ok' }])
  expect(db.prepare('PRAGMA foreign_key_check').all()).toEqual([])
  // https://www.sqlite.org/fts5.html#the_integrity_check_command; throws when index and table differ
  db.exec("INSERT INTO takes_search (takes_search, rank) VALUES ('integrity-check', 1)")
  db.close()
}

describe('a killed process', () => {
  it('in the middle of a transaction: what was committed is there, the rest is not', async () => {
    const path = join(temporaryFolder(), 'catalogue.takeloft')
    const said = await runAndKill('stop-in-transaction', path, (lines) => lines.at(-1) === 'in transaction')
    expect(existsSync(`${path}-wal`)).toBe(true)

    const catalogue = openForTest(path)
    expect(catalogue.artists.list().map((artist) => artist.name)).toEqual(said.slice(0, -1))
    expect(said).toHaveLength(21)
    expect(catalogue.foundTakes.list({ search: 'lost', limit: 1, offset: 0 })).toEqual([])
    catalogue.close()
    checkWithOtherSqlite(path)
  })

  it('at any moment of steady writing: each pair it said it wrote is whole', async () => {
    const path = join(temporaryFolder(), 'catalogue.takeloft')
    const said: string[] = []
    for (const enough of [1, 7, 60])
      said.push(...(await runAndKill('write-on', path, (l) => l.length >= enough)))

    const catalogue = openForTest(path)
    const names = catalogue.artists.list().map((artist) => artist.name)
    expect(names).toEqual(expect.arrayContaining(said.flatMap((pair) => [`${pair} a`, `${pair} b`])))
    const halves = names.map((name) => name.slice(0, -2))
    for (const half of new Set(halves)) expect(halves.filter((each) => each === half)).toHaveLength(2)
    catalogue.close()
    checkWithOtherSqlite(path)
  })

  it('in the middle of a migration: the file has its old form and all its rows, and the copy is there', async () => {
    const path = join(temporaryFolder(), 'catalogue.takeloft')
    const catalogue = openCatalogue(path)
    const made = fill(catalogue)
    catalogue.close()
    await runAndKill('stop-in-migration', path, (lines) => lines.includes('in migration'))

    for (const file of [path, `${path}.before-${migrations.at(-1)!.number + 1}`]) {
      const again = openForTest(file)
      expect(again.layers.get(made.layer.id)).toEqual(made.layer)
      again.close()
      const db = new Database(file)
      expect(describeSchema(db)).toBe(schemaOf(migrations))
      db.close()
      checkWithOtherSqlite(file)
    }
  })
})

import { execFileSync, spawnSync } from 'node:child_process'
import { cpSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { ChainSharing, CurveSource, PanLaw, PolarPattern, Role } from '../../app/contract/entities.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { describeSchema, schemaOf } from '../../db/schema.ts'
import { temporaryFolder } from './temporary-folder.ts'

const root = new URL('../..', import.meta.url).pathname
const committed = readFileSync(join(root, 'db/schema.sql'), 'utf8')

describe('db/schema.sql', () => {
  it('is what the migrations lead to (otherwise run: npm run schema)', () => {
    expect(committed).toBe(schemaOf(migrations))
  })

  it('builds, run by itself, a database that reads the same', () => {
    const db = new Database(':memory:')
    db.exec(committed)
    expect(describeSchema(db)).toBe(committed)
    db.close()
  })

  it('holds STRICT tables only, the full-text index apart', () => {
    const db = new Database(':memory:')
    db.exec(committed)
    const loose = db
      .prepare(
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite%'",
      )
      .all()
    db.close()
    expect(loose).toEqual([])
  })

  it.each([
    ['pattern', PolarPattern.options],
    ['source', CurveSource.options],
    ['role', Role.options],
    ['pan_law', PanLaw.options],
    ['chain_sharing', ChainSharing.options],
  ])('has for %s the values of the contract', (column, values) => {
    const list = new RegExp(`CHECK \\(${column} IN\\s*\\(([^)]*)\\)`).exec(committed)?.[1] ?? ''
    expect([...list.matchAll(/'([^']*)'/g)].map((match) => match[1])).toEqual([...values])
  })
})

describe('npm run check:schema', () => {
  const check = (folder: string) =>
    spawnSync(process.execPath, ['db/write-schema.ts', '--check'], { cwd: folder, encoding: 'utf8' })

  it('ends with 0 where the file is up to date, and with 1 and the command that mends it where not', () => {
    const folder = temporaryFolder()
    for (const part of ['db', 'app/contract', 'app/files', 'app/history', 'package.json']) {
      cpSync(join(root, part), join(folder, part), { recursive: true })
    }
    symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'))
    expect(check(folder)).toMatchObject({ status: 0, stderr: '' })

    writeFileSync(join(folder, 'db/schema.sql'), committed.replace('note TEXT', 'remark TEXT'))
    const answer = check(folder)
    expect(answer.status).toBe(1)
    expect(answer.stderr).toContain('npm run schema')

    execFileSync(process.execPath, ['db/write-schema.ts'], { cwd: folder })
    expect(readFileSync(join(folder, 'db/schema.sql'), 'utf8')).toBe(committed)
  })
})

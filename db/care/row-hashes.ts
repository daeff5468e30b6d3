// Hashes of rows: triggers write them with every change, and the check of a catalogue compares them.

import { createHash } from 'node:crypto'
import type { Database } from 'better-sqlite3'

/** Half of a SHA-256 is enough, because these detect damage, not forgery. */
const HASH_DIGITS = 32

/** Gives a connection the SQL function `row_hash(value, …)` that the triggers call. */
export function addRowHash(db: Database): void {
  // JavaScript's JSON, because its number format does not depend on the version of SQLite.
  db.function('row_hash', { varargs: true, deterministic: true }, (...values: unknown[]) =>
    createHash('sha256').update(JSON.stringify(values)).digest('hex').slice(0, HASH_DIGITS),
  )
}

/**
 * Creates the triggers of every table for its current columns, and hashes the rows of tables whose
 * columns have changed. Runs at the end of every migration. A change to the triggers or hashes here
 * needs a migration too.
 */
export function keepRowHashes(db: Database): void {
  const tables = hashedTables(db)
  if (tables === null) return
  const triggers = new Map(
    db
      .prepare<[], [string, string]>("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
      .raw()
      .all(),
  )
  for (const table of tables) {
    const wanted = triggersOf(db, table)
    if (wanted.every(({ name, sql }) => triggers.get(name) === sql)) continue
    for (const { name, sql } of wanted) {
      db.exec(`DROP TRIGGER IF EXISTS ${name}`)
      db.exec(sql)
    }
    db.prepare('DELETE FROM row_hashes WHERE subject = ?').run(table)
    db.exec(
      `INSERT INTO row_hashes (subject, key, hash) SELECT '${table}', ${keyOf(db, table)}, ${hashOf(db, table)} FROM ${table}`,
    )
  }
}

/** The first row that is missing or does not match its hash, as `table key`; null if there is none. */
export function findDamagedRow(db: Database): string | null {
  for (const table of hashedTables(db) ?? []) {
    const key = keyOf(db, table)
    const changed = db
      .prepare<[], string>(
        `SELECT ${key} FROM ${table} LEFT JOIN row_hashes ON subject = '${table}' AND key = ${key}
         WHERE hash IS NOT ${hashOf(db, table)} LIMIT 1`,
      )
      .pluck()
      .get()
    const lost = db
      .prepare<[], string>(
        `SELECT key FROM row_hashes WHERE subject = '${table}' AND key NOT IN (SELECT ${key} FROM ${table}) LIMIT 1`,
      )
      .pluck()
      .get()
    if (changed !== undefined || lost !== undefined) return `${table} ${changed ?? lost}`
  }
  return null
}

/** Every ordinary table; null in a catalogue of a version without hashes. */
function hashedTables(db: Database): string[] | null {
  const tables = db
    .prepare<[], string>(
      `SELECT name FROM pragma_table_list
       WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name`,
    )
    .pluck()
    .all()
  return tables.includes('row_hashes') ? tables.filter((name) => name !== 'row_hashes') : null
}

function triggersOf(db: Database, table: string): { readonly name: string; readonly sql: string }[] {
  const isOld = `subject = '${table}' AND key = ${keyOf(db, table, 'old')}`
  const newKey = keyOf(db, table, 'new')
  const newHash = hashOf(db, table, 'new')
  const acts = {
    insert: `INSERT INTO row_hashes (subject, key, hash) VALUES ('${table}', ${newKey}, ${newHash})`,
    update: `UPDATE row_hashes SET key = ${newKey}, hash = ${newHash} WHERE ${isOld}`,
    delete: `DELETE FROM row_hashes WHERE ${isOld}`,
  }
  return Object.entries(acts).map(([act, sql]) => {
    const name = `${table}_hash_${act}`
    return {
      name,
      sql: `CREATE TRIGGER ${name} AFTER ${act.toUpperCase()} ON ${table} BEGIN\n  ${sql};\nEND`,
    }
  })
}

interface Column {
  readonly name: string
  /** Place in the primary key, from 1; 0 outside of it. */
  readonly pk: number
}

const columnsOf = (db: Database, table: string): Column[] => db.pragma(`table_info(${table})`) as Column[]

function keyOf(db: Database, table: string, row?: 'new' | 'old'): string {
  const key = columnsOf(db, table)
    .filter(({ pk }) => pk > 0)
    .sort((a, b) => a.pk - b.pk)
  return `json_array(${list(key, table, row)})`
}

const hashOf = (db: Database, table: string, row?: 'new' | 'old'): string =>
  `row_hash(${list(columnsOf(db, table), table, row)})`

const list = (columns: readonly Column[], table: string, row: string | undefined): string =>
  columns.map(({ name }) => `${row ?? table}."${name}"`).join(', ')

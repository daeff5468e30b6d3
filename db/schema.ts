// The catalogue's schema as text, for reading and for the check that compares it with the migrations.

import Database from 'better-sqlite3'
import { type Migration, migrate } from './care/migrate.ts'
import { addSqlFunctions } from './care/sql-functions.ts'

const HEADING = '-- Written from db/migrations by `npm run schema`; not edited by hand.'

/** The schema that the migrations create in an empty database. */
export function schemaOf(migrations: readonly Migration[]): string {
  const db = new Database(':memory:')
  try {
    addSqlFunctions(db)
    migrate(db, migrations)
    return describeSchema(db)
  } finally {
    db.close()
  }
}

/** Every table, index and trigger of an open database, without the shadow tables of the full-text index. */
export function describeSchema(db: Database.Database): string {
  const parts = db
    .prepare<[], string>(
      `SELECT sqlite_schema.sql FROM sqlite_schema
       LEFT JOIN pragma_table_list AS listed ON listed.schema = 'main' AND listed.name = sqlite_schema.name
       WHERE sqlite_schema.sql IS NOT NULL AND sqlite_schema.name NOT LIKE 'sqlite\\_%' ESCAPE '\\'
         AND listed.type IS NOT 'shadow'
       ORDER BY CASE sqlite_schema.type WHEN 'table' THEN 1 WHEN 'index' THEN 2 ELSE 3 END, sqlite_schema.name`,
    )
    .pluck()
    .all()
  const settings = ['application_id', 'user_version'].map(
    (name) => `PRAGMA ${name} = ${db.pragma(name, { simple: true })};`,
  )
  return `${[HEADING, ...settings, ...parts.map((sql) => `${sql};`)].join('\n\n')}\n`
}

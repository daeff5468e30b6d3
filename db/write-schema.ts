// Writes db/schema.sql from the migrations; with --check, only checks whether it is up to date.

import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { beginsLike, replaceOwnFile } from '../app/files/write-file.ts'
import { migrations } from './migrations/migrations.ts'
import { schemaOf } from './schema.ts'

const file = new URL('schema.sql', import.meta.url)
const wanted = schemaOf(migrations)

if (process.argv.includes('--check')) {
  if (readOr(file, '') !== wanted) {
    console.error('db/schema.sql differs from what the migrations make; run: npm run schema')
    process.exitCode = 1
  }
} else {
  replaceOwnFile(fileURLToPath(file), wanted, beginsLike(wanted))
}

function readOr(place: URL, otherwise: string): string {
  try {
    return readFileSync(place, 'utf8')
  } catch {
    return otherwise
  }
}

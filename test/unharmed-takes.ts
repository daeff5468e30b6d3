// Every take that a test has used is hashed when the test ends, and has to have the bytes that it was taken in with; so has
// every file of a bounce, a delivery or an archive that is there (unharmed-outputs.ts). A test that writes to one of them
// itself says so.

import { appendFileSync, existsSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import { type Catalogue, openCatalogue } from '../db/catalogue.ts'
import { hashOf } from './hash-of.ts'
import { hashOutputs } from './unharmed-outputs.ts'

/** Environment variable with the file that gets how many files were hashed, `kind count` a line; the runner adds them up. */
export const HASHED_FILE = 'TAKELOFT_TEST_HASHED_FILE'
/** What is counted by itself: recordings, files that a call of the command line names, files of what went out. */
export const HASHED_KINDS = ['takes', 'inputs', 'outputs'] as const

function noteHashed(kind: (typeof HASHED_KINDS)[number], count: number): void {
  const file = process.env[HASHED_FILE]
  if (file !== undefined && count > 0) appendFileSync(file, `${kind} ${count}\n`)
}

/**
 * @param cataloguePath looked at by a connection of its own, so that it may be open or closed
 * @param tampered absolute paths of files, and of folders that went out, that the test itself has written to
 * @throws Error that names a file whose bytes have changed
 */
export function checkTakesUnharmed(cataloguePath: string, tampered: ReadonlySet<string> = new Set()): void {
  if (!existsSync(cataloguePath)) return
  const catalogue = openCatalogue(cataloguePath)
  try {
    noteHashed('takes', hashTakes(catalogue, tampered))
    noteHashed('outputs', hashOutputs(catalogue, tampered))
  } finally {
    catalogue.close()
  }
}

function hashTakes(catalogue: Catalogue, tampered: ReadonlySet<string>): number {
  const root = dirname(catalogue.path)
  let hashed = 0
  for (const { id } of catalogue.foundTakes.list({ search: '', limit: 1_000_000, offset: 0 })) {
    const { sha256, name, path, copies } = catalogue.takes.get(id)
    for (const place of [path, ...copies].map((one) => resolve(root, one))) {
      if (tampered.has(place) || !existsSync(place)) continue
      if (hashOf(place) !== sha256) throw new Error(`the take ${name} at ${place} was written to`)
      hashed++
    }
  }
  return hashed
}

/** What files hold before something runs; the check afterwards throws where one has changed or is gone. */
export function watchFiles(paths: readonly string[]): () => void {
  const before = paths.map(hashOf)
  return () => {
    for (const [k, path] of paths.entries()) {
      if (!existsSync(path) || hashOf(path) !== before[k])
        throw new Error(`${path} was written to or removed`)
    }
    noteHashed('inputs', paths.length)
  }
}

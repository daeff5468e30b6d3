// Every take that a test has used is hashed when the test ends, and has to have the bytes that it was taken in with. So
// has every file of a bounce, a delivery or an archive that is still there: each has a list of hashes from when it went
// out, so that nothing that came after it may have changed it. A test that writes to one of them itself says so.

import { createHash } from 'node:crypto'
import { appendFileSync, existsSync, readFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { type Catalogue, openCatalogue } from '../db/catalogue.ts'

/** Environment variable with the file that gets how many takes were hashed, a number a line; the runner adds them up. */
export const HASHED_FILE = 'TAKELOFT_TEST_HASHED_FILE'

function noteHashed(count: number): void {
  const file = process.env[HASHED_FILE]
  if (file !== undefined && count > 0) appendFileSync(file, `${count}\n`)
}

const hashOf = (path: string): string => createHash('sha256').update(readFileSync(path)).digest('hex')

/**
 * @param cataloguePath looked at by a connection of its own, so that it may be open or closed
 * @param tampered absolute paths of files, and of folders that went out, that the test itself has written to
 * @throws Error that names a file whose bytes have changed
 */
export function checkTakesUnharmed(cataloguePath: string, tampered: ReadonlySet<string> = new Set()): void {
  if (!existsSync(cataloguePath)) return
  const catalogue = openCatalogue(cataloguePath)
  try {
    noteHashed(hashTakes(catalogue, tampered) + hashOutputs(catalogue, tampered))
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

interface Manifest {
  readonly stems?: readonly { file: string; sha256: string }[]
  readonly files?: readonly { path: string; sha256: string }[]
}

/** Bounces, deliveries and archives whose folders are there, against the hashes that they went out with. */
function hashOutputs(catalogue: Catalogue, tampered: ReadonlySet<string>): number {
  const root = dirname(catalogue.path)
  let hashed = 0
  const check = (folder: string, path: string, sha256: string): void => {
    const place = join(folder, path)
    if (tampered.has(place) || tampered.has(folder)) return
    if (!existsSync(place)) throw new Error(`${place} went out and was removed`)
    if (hashOf(place) !== sha256) throw new Error(`${place} went out and was written to`)
    hashed++
  }
  const sessions = catalogue.sessions.list()
  const outputs = [
    ...catalogue.bounces.list().map((one) => ({ ...one, folder: dirname(resolve(root, one.manifestPath)) })),
    ...sessions.flatMap(({ id }) =>
      catalogue.deliveries.listOfSession(id).map((one) => ({ ...one, folder: resolve(root, one.folder) })),
    ),
  ]
  for (const { folder, manifestSha256 } of outputs) {
    const path = join(folder, 'manifest.json')
    if (!existsSync(path)) continue
    check(folder, 'manifest.json', manifestSha256)
    if (tampered.has(folder) || tampered.has(path)) continue
    const { stems = [], files = [] } = JSON.parse(readFileSync(path, 'utf8')) as Manifest
    for (const { file, sha256 } of stems) check(folder, file, sha256)
    for (const { path: inside, sha256 } of files) check(folder, inside, sha256)
  }
  for (const bag of catalogue.archives.listPaths()) {
    for (const manifest of ['manifest-sha256.txt', 'tagmanifest-sha256.txt']) {
      if (tampered.has(bag) || !existsSync(join(bag, manifest))) continue
      for (const line of readFileSync(join(bag, manifest), 'utf8').trimEnd().split('\n')) {
        check(bag, line.slice(66), line.slice(0, 64))
      }
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
    noteHashed(paths.length)
  }
}

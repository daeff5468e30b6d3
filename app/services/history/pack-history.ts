// Packs a history into the bytes of one file. The same history gives the same bytes on every computer.

import { createHash } from 'node:crypto'
import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import {
  MAX_HISTORY_BYTES,
  MAX_HISTORY_ENTRY_BYTES,
  MAX_HISTORY_FILES,
} from '../../contract/exchange/limits.ts'
import { Failure } from '../../contract/failure.ts'
import { canonicalJson } from '../../history/canonical-json.ts'
import { compareText } from '../../history/states.ts'
import type { Workplace } from '../workplace.ts'
import { type GatheredHistory, gatherHistory } from './gather-history.ts'
import { curveEntry, HISTORY_ENTRY, HISTORY_TYPE } from './read-history.ts'
import type { HistoryScope } from './scope-rows.ts'
import { writeZip, type ZipEntry } from './zip-file.ts'

/**
 * The history of voices and sessions as the bytes of one file, without sound. Pictures that are no longer beside
 * the catalogue are left out.
 * @throws Failure `not-found` for a row that is not there, `conflict` for more than a file may hold
 */
export async function packHistory(
  { catalogue, folders }: Pick<Workplace, 'catalogue' | 'folders'>,
  scope: HistoryScope,
): Promise<Buffer> {
  const gathered = gatherHistory(catalogue, scope)
  const files = [...curveFiles(gathered), ...(await pictureFiles(gathered, folders.pictures))].sort((a, b) =>
    compareText(a.path, b.path),
  )
  const listed = files.map(({ path, bytes }) => ({ path, sha256: sha256Of(bytes), sizeBytes: bytes.length }))
  const history = Buffer.from(canonicalJson({ ...gathered.history, files: listed }), 'utf8')
  const entries = [
    { path: 'mimetype', bytes: Buffer.from(HISTORY_TYPE, 'latin1') },
    ...[...files, { path: HISTORY_ENTRY, bytes: history }].sort((a, b) => compareText(a.path, b.path)),
  ]
  refuseTooMuch(entries)
  return writeZip(entries)
}

const curveFiles = ({ curves }: GatheredHistory): ZipEntry[] =>
  [...curves].map(([sha256, content]) => ({
    path: curveEntry(sha256),
    bytes: Buffer.from(canonicalJson(content), 'utf8'),
  }))

async function pictureFiles({ curves }: GatheredHistory, folder: string): Promise<ZipEntry[]> {
  const wanted = new Set([...curves.values()].flatMap(({ picture }) => picture?.sha256 ?? []))
  if (wanted.size === 0) return []
  const names = await readdir(folder).catch(() => [])
  const found = names.filter((name) => wanted.has(name.split('.')[0]!))
  const files = await Promise.all(
    found.map(async (name) => ({ path: `pictures/${name}`, bytes: await readFile(join(folder, name)) })),
  )
  // A picture that is damaged on the disk would make the whole file unusable.
  return files.filter(({ path, bytes }) => path.startsWith(`pictures/${sha256Of(bytes)}.`))
}

const sha256Of = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

function refuseTooMuch(entries: readonly ZipEntry[]): void {
  const total = entries.reduce((sum, { bytes }) => sum + bytes.length, 0)
  const large = entries.find(({ bytes }) => bytes.length > MAX_HISTORY_ENTRY_BYTES)
  if (entries.length <= MAX_HISTORY_FILES && total <= MAX_HISTORY_BYTES && large === undefined) return
  throw new Failure(
    'conflict',
    `The history has ${entries.length} parts and ${Math.ceil(total / 1e6)} MB; one file holds at most ${MAX_HISTORY_FILES} parts, ${MAX_HISTORY_BYTES / 2 ** 20} MiB in all and ${MAX_HISTORY_ENTRY_BYTES / 2 ** 20} MiB each. Export its sessions one by one.`,
    { parts: entries.length, bytes: total },
  )
}

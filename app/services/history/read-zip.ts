// Reads zip files of unknown origin into memory. Nothing is written to a disk, whatever an entry is called. yauzl
// trusts the central directory alone, refuses paths out of the folder and wrong sizes; the rest is refused here.

import { crc32 } from 'node:zlib'
import { type Entry, fromBufferPromise } from 'yauzl'
import {
  MAX_HISTORY_BYTES,
  MAX_HISTORY_ENTRY_BYTES,
  MAX_HISTORY_FILES,
} from '../../contract/exchange/limits.ts'
import { Failure } from '../../contract/failure.ts'

/** The only names of entries that are accepted, which are safe on every file system. */
const ALLOWED =
  /^(mimetype|history\.json|curves\/[0-9a-f]{64}\.json|pictures\/[0-9a-f]{64}\.(png|jpeg|webp))$/

/** The file type in the upper half of `externalFileAttributes`, as Unix writes it; 0 where it is not said. */
const FILE_TYPE = 0o170000
const ORDINARY_FILE = 0o100000
const MADE_BY_UNIX = 3
/** Bit 0 of the general purpose flags. */
const ENCRYPTED = 1
const STORED = 0

/**
 * The entries of a zip file in their order, by path.
 * @param where what to call the file in a failure
 * @throws Failure `invalid-input` for one that is damaged, too large, or has any entry that a history cannot have
 */
export async function readZip(bytes: Buffer, where: string): Promise<ReadonlyMap<string, Buffer>> {
  const entries = new Map<string, Buffer>()
  try {
    const zip = await fromBufferPromise(bytes, { lazyEntries: true, strictFileNames: true })
    if (zip.entryCount > MAX_HISTORY_FILES) {
      throw refusal(where, `it has ${zip.entryCount} entries, and at most ${MAX_HISTORY_FILES} are read`)
    }
    let total = 0
    for await (const entry of zip.eachEntry()) {
      refuseEntry(entry, entries, where)
      const stream = await zip.openReadStreamPromise(entry)
      const parts: Buffer[] = []
      let size = 0
      // Counted while reading, because what an entry says of its size may be false.
      for await (const part of stream as AsyncIterable<Buffer>) {
        size += part.length
        total += part.length
        if (size > MAX_HISTORY_ENTRY_BYTES || total > MAX_HISTORY_BYTES) {
          stream.destroy()
          throw refusal(where, `${entry.fileName} is larger than a part of a history can be`)
        }
        parts.push(part)
      }
      const whole = Buffer.concat(parts)
      // yauzl does not compare it, and history.json itself is covered by nothing else.
      if (crc32(whole) !== entry.crc32) {
        throw refusal(where, `${entry.fileName} is damaged: its checksum is another one`)
      }
      entries.set(entry.fileName, whole)
    }
  } catch (error) {
    if (error instanceof Failure) throw error
    throw refusal(where, `it is damaged or no zip file (${(error as Error).message})`, error)
  }
  return entries
}

function refuseEntry(entry: Entry, before: ReadonlyMap<string, unknown>, where: string): void {
  const { fileName, versionMadeBy, externalFileAttributes, uncompressedSize } = entry
  const said = `“${fileName.slice(0, 100)}”`
  if (!ALLOWED.test(fileName)) throw refusal(where, `a history has no entry ${said}`)
  if (before.has(fileName)) throw refusal(where, `the entry ${said} is in it twice`)
  const type = (externalFileAttributes >>> 16) & FILE_TYPE
  if (versionMadeBy >>> 8 === MADE_BY_UNIX && type !== 0 && type !== ORDINARY_FILE) {
    throw refusal(where, `the entry ${said} is a link or no ordinary file`)
  }
  if ((entry.generalPurposeBitFlag & ENCRYPTED) !== 0 || entry.compressionMethod !== STORED) {
    throw refusal(where, `the entry ${said} is compressed or encrypted, which those of a history never are`)
  }
  if (uncompressedSize > MAX_HISTORY_ENTRY_BYTES) {
    throw refusal(where, `${said} is larger than a part of a history can be`)
  }
}

const refusal = (where: string, why: string, cause?: unknown): Failure =>
  new Failure(
    'invalid-input',
    `${where} cannot be used as a history: ${why}. Export it again with Takeloft; nothing was taken from it.`,
    { where },
    cause,
  )

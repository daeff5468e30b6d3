// Zip files with one form for one content (the subset of ISO/IEC 21320-1): entries stored, not compressed, in the
// given order, with one fixed time.

import { ZipFile } from 'yazl'

/** A file within a zip file. */
export interface ZipEntry {
  readonly path: string
  readonly bytes: Uint8Array
}

/**
 * The first moment that a zip file can name. yazl writes the local time of a date, so this is 1980-01-01 00:00 in
 * every time zone.
 */
const FIXED_TIME = new Date(1980, 0, 1)

/** The bytes of a zip file; the same entries give the same bytes on every computer. */
export async function writeZip(entries: readonly ZipEntry[]): Promise<Buffer> {
  const zip = new ZipFile()
  for (const { path, bytes } of entries) {
    zip.addBuffer(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength), path, {
      compress: false,
      mtime: FIXED_TIME,
      mode: 0o100644,
      forceDosTimestamp: true,
    })
  }
  zip.end()
  const parts: Buffer[] = []
  for await (const part of zip.outputStream) parts.push(Buffer.from(part))
  return Buffer.concat(parts)
}

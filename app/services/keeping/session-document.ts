// Checks the document of a session in its bag.

import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { SESSION_VERSION, SessionDocument } from '../../contract/exchange/session-document.ts'
import { Failure } from '../../contract/failure.ts'
import type { CheckedBag } from './bag-folder.ts'
import { PAYLOAD_SESSION } from './bag-layout.ts'

/** A session of 64 layers has some 100 kB. */
const MAX_BYTES = 1 << 25

/**
 * The session itself is restored from the history. The document tells whether this version knows the kind of bag.
 * @throws Failure `damaged` where it is missing or no such document; `not-supported` where a newer version wrote it
 */
export async function checkSessionDocument(bag: string, { files }: CheckedBag, uuid: string): Promise<void> {
  const path = join(bag, PAYLOAD_SESSION)
  const file = files.find((one) => one.path === PAYLOAD_SESSION)
  const document =
    file === undefined || file.sizeBytes > MAX_BYTES ? null : parsed(await readFile(path, 'utf8'))
  if (document !== null && document.version > SESSION_VERSION) {
    throw new Failure(
      'not-supported',
      `${path} was written by a newer version of Takeloft (document ${document.version}; this one reads ${SESSION_VERSION}). Restore it with that version, or by hand as ${join(bag, 'takeloft', 'README.txt')} says.`,
      { path },
    )
  }
  if (document?.uuid === uuid) return
  throw new Failure(
    'damaged',
    `${path} is not the document of the archived session. Use another copy of the archive, or restore by hand as ${join(bag, 'takeloft', 'README.txt')} says.`,
    { path },
  )
}

function parsed(text: string): SessionDocument | null {
  try {
    return SessionDocument.safeParse(JSON.parse(text)).data ?? null
  } catch {
    // Also a document that is nested too deeply.
    return null
  }
}

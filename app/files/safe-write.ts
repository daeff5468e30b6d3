// Small files written so that a reader finds either the old contents or the new,
// never a half: beside under '.part', flushed, renamed.

import { createPartFile } from './part-file.ts'

/**
 * Writes `data` (text as UTF-8) to `path`, replacing what was there in one step.
 * @throws Failure 'disk-full' or 'not-writable'; `path` is then as it was before
 */
export function writeFileSafely(path: string, data: string | Uint8Array): void {
  const part = createPartFile(path)
  part.write(typeof data === 'string' ? Buffer.from(data, 'utf8') : data, 0)
  part.commit()
}

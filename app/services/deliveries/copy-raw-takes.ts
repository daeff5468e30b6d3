// The takes of a delivery, byte for byte.

import { statSync } from 'node:fs'
import { join } from 'node:path'
import type { DeliveredFile } from '../../contract/delivery/delivery-manifest.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import type { FoundTake } from '../takes/take-files.ts'
import type { RawTake } from './plan-delivery.ts'

/**
 * @param found where the bytes of each take are
 * @throws Failure of copying; 'changed' where the copy is not the take
 */
export async function copyRawTakes(
  raw: readonly RawTake[],
  found: readonly FoundTake<Take>[],
  folder: string,
  signal: AbortSignal,
  onProgress: (fraction: number) => void,
): Promise<DeliveredFile[]> {
  const sources = raw.map(({ take, path }) => {
    const from = found.find((one) => one.take.sha256 === take.sha256)
    if (from === undefined) throw new Error(`the take ${take.name} has no file`)
    return { take, path, from: from.path, bytes: statSync(from.path).size }
  })
  const total = sources.reduce((sum, { bytes }) => sum + bytes, 0)
  const files: DeliveredFile[] = []
  let done = 0
  for (const { take, path, from, bytes } of sources) {
    const sha256 = await copyFileInside(from, join(folder, path), 'a recording', signal, (copied) =>
      onProgress((done + copied) / total),
    )
    if (sha256 !== take.sha256) {
      throw new Failure(
        'changed',
        `The file of the take ${take.name} was written to while it was being copied, so nothing was delivered; see what writes to ${from}, then deliver again.`,
        { take: take.name, path: from },
      )
    }
    done += bytes
    files.push({ kind: 'raw', path, name: take.name, bytes, sha256 })
  }
  return files
}

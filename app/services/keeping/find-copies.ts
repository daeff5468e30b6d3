// Where else the bytes of a take are: other places at which they were seen, and archives.

import { join } from 'node:path'
import type { Take } from '../../contract/entities.ts'
import { namesIn } from '../../files/names-in.ts'
import { catalogueRoot, placesOfTake } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { HASH_DIGITS, PAYLOAD_TAKES } from './bag-layout.ts'

/** @returns absolute paths of files that were read and have the take's hash, without its own */
export async function findCopies(
  { catalogue, verifiedFiles }: Workplace,
  take: Pick<Take, 'sha256' | 'sizeBytes' | 'name' | 'path' | 'copies'>,
): Promise<string[]> {
  const [own, ...copies] = placesOfTake(catalogueRoot(catalogue.path), take)
  const archived = catalogue.archives.listPaths().flatMap((bag) => {
    const folder = join(bag, ...PAYLOAD_TAKES.split('/'))
    return namesIn(folder)
      .filter((name) => name.startsWith(take.sha256.slice(0, HASH_DIGITS)))
      .map((name) => join(folder, name))
  })
  const found: string[] = []
  for (const path of new Set([...copies, ...archived])) {
    if (path !== own && (await verifiedFiles.stateOf(path, take, false)) === 'there') found.push(path)
  }
  return found
}

// Older archives of a session, whose unchanged files a new one can share.

import { statSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import type { Catalogue } from '../../../db/catalogue.ts'
import { identityIfAny } from '../../files/file-identity.ts'
import { namesIn } from '../../files/names-in.ts'
import { readBag } from './bag-folder.ts'

/** Payload of older archives. */
export interface OlderBags {
  /** Files that are said to have these bytes, newest archive first. */
  filesOf(sha256: string): readonly string[]
}

/** Name of a bag's folder; the second archive of a session in one folder is number 2. */
export const bagName = (uuid: string, number: number): string =>
  `takeloft-session-${uuid}${number === 1 ? '' : `-v${String(number).padStart(2, '0')}`}`

/** @param folder in which the new archive is made */
export async function findOlderBags(catalogue: Catalogue, uuid: string, folder: string): Promise<OlderBags> {
  const isOfSession = (name: string): boolean => name.startsWith(bagName(uuid, 1))
  const beside = namesIn(folder)
    .filter(isOfSession)
    .map((name) => join(folder, name))
  const noted = catalogue.archives.listPaths().filter((path) => isOfSession(basename(path)))
  const bags = [...new Set([...beside, ...noted])].filter((path) =>
    statSync(path, { throwIfNoEntry: false })?.isDirectory(),
  )
  const files = new Map<string, string[]>()
  // A later archive in the same folder has the higher number.
  for (const bag of bags.sort(
    (a, b) => Number(dirname(b) === folder) - Number(dirname(a) === folder) || (a < b ? 1 : -1),
  )) {
    const { payload } = await readBag(bag).catch(() => ({ payload: [] }))
    for (const { sha256, path } of payload) files.set(sha256, [...(files.get(sha256) ?? []), join(bag, path)])
  }
  return { filesOf: (sha256) => files.get(sha256) ?? [] }
}

/** How many of these paths lead to files of their own: names of one file are one copy. */
export function countCopies(paths: readonly string[]): number {
  const found = paths.flatMap((path) => identityIfAny(path) ?? [])
  return new Set(found.map(({ device, inode }) => `${device} ${inode}`)).size
}

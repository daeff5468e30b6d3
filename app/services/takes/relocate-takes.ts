// Finds the missing takes of all sessions in a folder, and stores where they are now, all in one act.

import { resolve } from 'node:path'
import type { CallContext } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { missingTakeHandlers } from './missing-takes.ts'
import { catalogueRoot } from './take-files.ts'

interface Relocated {
  readonly name: string
  readonly sha256: string
  /** Absolute: where it is now; for a missing one, where it was. */
  readonly path: string
}

export interface Relocation {
  readonly found: readonly Relocated[]
  readonly missing: readonly Relocated[]
  /** How many files the folder has. */
  readonly files: number
  /** How many files and folders could not be read. */
  readonly unread: number
}

/**
 * @param folder absolute path
 * @throws Failure when the folder cannot be listed; 'cancelled'. Nothing is changed then
 */
export async function relocateTakes(
  workplace: Workplace,
  folder: string,
  context: CallContext,
): Promise<Relocation> {
  const acts = missingTakeHandlers(workplace)
  const absent = await acts.listMissingTakes({ sessionId: null }, context)
  const { found, files, unread } = await acts.searchMissingTakes({ sessionId: null, folder }, context)
  if (found.length > 0) await acts.relinkTakes({ takes: found }, context)
  const placeOf = new Map(found.map(({ id, path }) => [id, path]))
  const takes = new Map(workplace.catalogue.takes.listOnDisk(null).map((take) => [take.id, take]))
  const lineOf = ({ id, path }: (typeof absent)[number]): Relocated => ({
    name: takes.get(id)?.name ?? '',
    sha256: takes.get(id)?.sha256 ?? '',
    // Copied out of an archive, it is elsewhere than it was found.
    path: placeOf.has(id)
      ? resolve(catalogueRoot(workplace.catalogue.path), takes.get(id)?.path ?? '')
      : path,
  })
  return {
    found: absent.filter(({ id }) => placeOf.has(id)).map(lineOf),
    missing: absent.filter(({ id }) => !placeOf.has(id)).map(lineOf),
    files,
    unread,
  }
}

// Takes whose bytes are nowhere they were seen: which they are, where they are now, and their new places.

import { stat } from 'node:fs/promises'
import { isAbsolute } from 'node:path'
import type { TakeOnDisk } from '../../../db/tables/takes.ts'
import type { TakeAbsence } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { identityIfAny } from '../../files/file-identity.ts'
import type { Workplace } from '../workplace.ts'
import { differenceFrom } from './difference-from-take.ts'
import { isInKeptFolder, ownFileOf } from './own-file.ts'
import { searchFolder } from './search-folder.ts'
import { type AbsentTake, catalogueRoot, keptPath, locateTakes, placesOfTake } from './take-files.ts'

type MissingTakeActs = 'listMissingTakes' | 'searchMissingTakes' | 'relinkTakes' | 'restoreTakePlaces'

export function missingTakeHandlers(workplace: Workplace): Pick<Handlers, MissingTakeActs> {
  const { catalogue, pool, emit, verifiedFiles } = workplace
  const root = catalogueRoot(catalogue.path)
  const missingOf = async (sessionId: number | null): Promise<readonly AbsentTake<TakeOnDisk>[]> => {
    const takes = catalogue.takes.listOnDisk(sessionId)
    // A disk that is not connected may answer late, so the first look at each place is off this thread.
    await Promise.all(
      takes.flatMap((take) => placesOfTake(root, take)).map((path) => stat(path).catch(() => null)),
    )
    if (sessionId !== null) return (await locateTakes(verifiedFiles, root, takes)).absent
    // Reading takes of all sessions may take hours, so only what a look at the folders and earlier checks show is
    // told here, and what was touched since it was read. The audit reads the others.
    const troubled = new Map(catalogue.takeChecks.listTroubled().map((check) => [check.takeId, check]))
    const stateOf = async (
      take: TakeOnDisk,
      path: string,
      isOwn: boolean,
    ): Promise<'there' | TakeAbsence> => {
      const state = await verifiedFiles.stateIfNoted(path, take)
      if (state !== null) return state
      const trouble = isOwn ? troubled.get(take.id) : undefined
      const isAsThen = trouble !== undefined && trouble.modifiedNs === String(identityIfAny(path)?.modifiedNs)
      return isAsThen ? 'changed' : 'there'
    }
    const looked = await Promise.all(
      takes.map(async (take) => {
        const places = placesOfTake(root, take)
        const states = await Promise.all(places.map((path, n) => stateOf(take, path, n === 0)))
        const [state] = states
        return state === 'there' || states.includes('there') ? [] : [{ take, state, path: places[0] }]
      }),
    )
    return looked.flat()
  }
  const changed = (): void => emit('catalogueChanged', { subjects: ['takes', 'stack'] })

  return {
    listMissingTakes: async ({ sessionId }) =>
      (await missingOf(sessionId)).map(({ take: { id }, path, state }) => ({ id, path, state })),

    async searchMissingTakes({ sessionId, folder }, context) {
      refuseRelative(folder)
      const takes = (await missingOf(sessionId)).map(({ take }) => take)
      return searchFolder(workplace, folder, takes, isInKeptFolder, context)
    },

    async relinkTakes({ takes }, { signal }) {
      const chosen = takes.map(({ id, path }) => ({ take: catalogue.takes.getOnDisk(id), path }))
      await Promise.all(chosen.map(({ take, path }) => refuseOtherBytes(take, path, signal)))
      const moves: { take: TakeOnDisk; path: string }[] = []
      for (const { take, path } of chosen) {
        moves.push({ take, path: await ownFileOf(workplace, take, path, signal) })
      }
      catalogue.transaction(() => {
        for (const { take, path } of moves) catalogue.takes.moveTo(take.id, keptPath(root, path))
      })
      changed()
      return moves.map(({ take: { id, path, copies } }) => ({ id, path, copies }))
    },

    async restoreTakePlaces({ takes }) {
      catalogue.transaction(() => {
        for (const places of takes) catalogue.takes.restorePlaces(places)
      })
      changed()
      return {}
    },
  }

  async function refuseOtherBytes(take: TakeOnDisk, path: string, signal: AbortSignal): Promise<void> {
    refuseRelative(path)
    // What a search has just hashed is not hashed again unless something has touched it since.
    if (verifiedFiles.hasRead(path, take.sha256)) return
    const identity = identityIfAny(path)
    // Reading a header is quick, so a file of another length is refused before all of it is read.
    const difference = differenceFrom(take, path)
    if (difference !== null) throw otherFailure(take, path, difference)
    if ((await pool.run('hashFile', { path }, { signal })) !== take.sha256) {
      throw otherFailure(take, path, 'it has the same format and length, but other bytes')
    }
    if (identity !== null) verifiedFiles.noteIfUntouched(path, take.sha256, identity)
  }
}

/** A caller over a port has no working directory against which a relative path could be resolved. */
function refuseRelative(path: string): void {
  if (isAbsolute(path)) return
  throw new Failure('invalid-input', `${path} is not a full path; write it from the root of its disk.`, {
    path,
  })
}

const otherFailure = (take: TakeOnDisk, path: string, difference: string): Failure =>
  new Failure(
    'changed',
    `${path} is not the take ${take.name}: ${difference}. Choose the file as it was imported, or import this one as a new take.`,
    { path, take: take.name },
  )

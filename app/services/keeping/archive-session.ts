// Archives a session as a bag: takes byte for byte, stems, history, and how to restore them by hand.

import { statSync } from 'node:fs'
import { dirname, extname, join } from 'node:path'
import {
  BAG_DECLARATION,
  DECLARATION_FILE,
  INFO_FILE,
  infoText,
  manifestText,
  oxumOf,
  PAYLOAD_FOLDER,
  PAYLOAD_MANIFEST,
  TAG_MANIFEST,
} from '../../bag/bag-texts.ts'
import type { Take } from '../../contract/entities.ts'
import type { ArchiveOutcome } from '../../contract/exchange/archive.ts'
import { Failure } from '../../contract/failure.ts'
import type { Stem } from '../../contract/manifest.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import { ensureFolder, removeMadeFolders } from '../../files/ensure-folder.ts'
import { createFileInside } from '../../files/new-file.ts'
import { createNewFolder, isFree, type NewFolder, removeInside } from '../../files/new-folder.ts'
import { syncFolder } from '../../files/sync-folder.ts'
import { writeNewFile } from '../../files/write-file.ts'
import { fileWord } from '../../formats/names/file-words.ts'
import { prepareBounce, writeBounce } from '../bounces/bounce.ts'
import { MANIFEST_FILE, refuseInsideKept } from '../bounces/delivery-folder.ts'
import { noteDelivered } from '../bounces/noted.ts'
import { packHistory } from '../history/pack-history.ts'
import { planSession, readSessionContents } from '../sessions/plan-session.ts'
import {
  catalogueRoot,
  type FoundTake,
  locateTakes,
  missingFailure,
  placesOfTake,
} from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { infoLines, readmeText, sessionDocument } from './bag-documents.ts'
import { validateBag } from './bag-folder.ts'
import {
  HASH_DIGITS,
  PAYLOAD_HISTORY,
  PAYLOAD_SESSION,
  PAYLOAD_SHEET,
  PAYLOAD_STEMS,
  PAYLOAD_TAKES,
  TAG_README,
} from './bag-layout.ts'
import { bagSheet } from './bag-sheet.ts'
import { bagName, countCopies, findOlderBags } from './older-bags.ts'
import { type Filling, list, putFile, putLink } from './put-files.ts'
import { putOutputs } from './put-outputs.ts'

/** Shares of the progress: takes, stems, and the rest for the check of the finished bag. */
const TAKES_SHARE = 0.4
const STEMS_SHARE = 0.3
const MAX_BAGS = 9999
const FIRST_FOLDERS = [PAYLOAD_FOLDER, PAYLOAD_TAKES, PAYLOAD_STEMS, 'takeloft']

/**
 * Makes the bag in a folder beside its final name, validates all of it, and renames it. Files that an older archive
 * of the session has are linked from there; takes outside of archives are always copied.
 * @param request.folder absolute path of the folder that will contain the bag
 * @throws Failure; nothing is left then, unless only the ledger entry failed
 */
export async function archiveSession(
  workplace: Workplace,
  { sessionId, folder }: { readonly sessionId: number; readonly folder: string },
  context: CallContext,
): Promise<ArchiveOutcome> {
  const { catalogue } = workplace
  const contents = readSessionContents(catalogue, sessionId)
  const uuid = catalogue.identities.uuidOf('sessions', sessionId)
  if (uuid === undefined) throw new Failure('not-found', `There is no session ${sessionId}.`, { sessionId })
  refuseInsideKept(join(folder, bagName(uuid, 1)))
  context.report(0, 'Checking the takes')
  const { found, absent } = await locateTakes(
    workplace.verifiedFiles,
    catalogueRoot(catalogue.path),
    contents.takes,
  )
  if (absent.length > 0) throw missingFailure(absent, 'Nothing was archived')
  const made = ensureFolder(folder)
  let bag: NewFolder | undefined
  try {
    const older = await findOlderBags(catalogue, uuid, folder)
    bag = createNewFolder(folder, 0o777, 'own')
    const filling: Filling = {
      workplace,
      context,
      contents,
      uuid,
      older,
      root: bag.path,
      files: [],
      remarks: [],
    }
    return await fillAndCommit(filling, bag, folder, found)
  } catch (error) {
    throw namingAskedFor(error, join(folder, nextBagName(folder, uuid)))
  } finally {
    bag?.discard()
    removeMadeFolders(made)
  }
}

async function fillAndCommit(
  filling: Filling,
  bag: NewFolder,
  folder: string,
  found: readonly FoundTake<Take>[],
): Promise<ArchiveOutcome> {
  const { workplace, context, contents, uuid, older, root, files, remarks } = filling
  const { catalogue, now, pool } = workplace
  for (const path of FIRST_FOLDERS) ensureFolder(join(root, path))
  const fileOf = takeFileNames(contents.takes)
  await putTakes(filling, found, fileOf)
  const { plan } = planSession(catalogue, workplace.fitter, contents)
  const stems = await putStems(filling, plan, fileOf)
  const outputs = await putOutputs(filling)
  putFile(filling, PAYLOAD_HISTORY, await packHistory(workplace, { sessionIds: [contents.session.id] }))
  putFile(
    filling,
    PAYLOAD_SESSION,
    sessionDocument(contents, uuid, (sha256) => `${PAYLOAD_TAKES}/${fileOf(sha256)}`),
  )
  putFile(filling, PAYLOAD_SHEET, bagSheet(catalogue, contents, plan, stems, fileOf))
  const at = now()
  putTags(filling, stems.length > 0, at)
  await validateBag(pool, root, {
    signal: context.signal,
    report: (fraction) =>
      context.report(
        TAKES_SHARE + STEMS_SHARE + (1 - TAKES_SHARE - STEMS_SHARE) * fraction,
        'Checking the archive',
      ),
  })
  const folders = new Set([...FIRST_FOLDERS, ...files.map(({ path }) => dirname(path))])
  for (const path of folders) syncFolder(join(root, path))
  const path = commitAsNext(bag, folder, uuid)
  const { artistId, artistName, songTitle } = contents.session
  noteDelivered(
    () =>
      catalogue.archives.insert(
        {
          ...{ act: 'archived', sessionUuid: uuid, artistId, artistName, songTitle, path },
          takes: contents.takes.length,
        },
        now(),
      ),
    path,
    `The archive is whole in ${path}, but the ledger could not note it`,
  )
  workplace.emit('catalogueChanged', { subjects: ['ledger'] })
  const payload = files.filter((file) => file.path.startsWith(PAYLOAD_FOLDER))
  const bytesOf = (isLinked: boolean): number =>
    payload.filter((file) => file.isLinked === isLinked).reduce((sum, { sizeBytes }) => sum + sizeBytes, 0)
  const catalogueFolder = catalogueRoot(catalogue.path)
  const copies = contents.takes.map((take) =>
    countCopies([
      ...placesOfTake(catalogueFolder, take),
      ...older.filesOf(take.sha256),
      join(path, PAYLOAD_TAKES, fileOf(take.sha256)),
    ]),
  )
  return {
    bag: path,
    takes: contents.takes.length,
    stems: stems.length,
    outputs,
    newBytes: bytesOf(false),
    linkedBytes: bytesOf(true),
    copies: copies.length === 0 ? 0 : Math.min(...copies),
    remarks,
  }
}

/** The file of each take in the bag, by its hash. */
function takeFileNames(takes: readonly Take[]): (sha256: string) => string {
  const names = new Map(
    takes.map(({ sha256, name, path }) => {
      const ending = /^\.[a-z0-9]{1,5}$/.exec(extname(path).toLowerCase())?.[0] ?? ''
      return [sha256, `${sha256.slice(0, HASH_DIGITS)}_${fileWord(name)}${ending}`]
    }),
  )
  return (sha256) => names.get(sha256) ?? sha256
}

async function putTakes(
  filling: Filling,
  found: readonly FoundTake<Take>[],
  fileOf: (sha256: string) => string,
): Promise<void> {
  const { context, root } = filling
  const sizes = found.map(({ path }) => statSync(path).size)
  const total = sizes.reduce((sum, size) => sum + size, 0)
  let done = 0
  for (const [k, { take, path: from }] of found.entries()) {
    const path = `${PAYLOAD_TAKES}/${fileOf(take.sha256)}`
    if (!(await putLink(filling, path, take.sha256))) {
      const sha256 = await copyFileInside(from, join(root, path), 'a recording', context.signal, (bytes) =>
        context.report((TAKES_SHARE * (done + bytes)) / Math.max(1, total), 'Copying the takes'),
      )
      if (sha256 !== take.sha256) {
        throw new Failure(
          'changed',
          `The file of the take ${take.name} was written to while it was being archived, so nothing was archived; see what writes to ${from}, then archive again.`,
          { take: take.name, path: from },
        )
      }
      list(filling, path, sha256, false)
    }
    done += sizes[k]!
  }
}

/** @returns none for a stack without sound */
async function putStems(
  filling: Filling,
  plan: RenderPlan,
  fileOf: (sha256: string) => string,
): Promise<readonly Stem[]> {
  const { workplace, context, contents, root, older } = filling
  if (plan.layers.length === 0) {
    filling.remarks.push('The stack has no sound, so the archive has no stems.')
    return []
  }
  const prepared = await prepareBounce(
    workplace,
    { sessionId: contents.session.id },
    { ...context, report: () => {} },
    'Nothing was archived',
  )
  const { manifest, manifestSha256 } = await writeBounce(
    workplace,
    { encoding: 'pcm-24', layerStems: false },
    {
      signal: context.signal,
      report: (fraction, doing) => context.report(TAKES_SHARE + STEMS_SHARE * fraction, doing),
    },
    prepared,
    join(root, PAYLOAD_STEMS),
    ({ take }) => `../takes/${fileOf(take.sha256)}`,
  )
  for (const { file, sha256 } of manifest.stems) {
    const path = `${PAYLOAD_STEMS}/${file}`
    if (older.filesOf(sha256).length > 0) {
      removeInside(join(root, path))
      if (await putLink(filling, path, sha256)) continue
      throw new Failure(
        'changed',
        `The older archives changed while ${file} was taken from them; archive again.`,
        {},
      )
    }
    list(filling, path, sha256, false)
  }
  list(filling, `${PAYLOAD_STEMS}/${MANIFEST_FILE}`, manifestSha256, false)
  return manifest.stems
}

function putTags(filling: Filling, hasStems: boolean, at: string): void {
  const { contents, uuid, files } = filling
  const payload = files.filter(({ path }) => path.startsWith(PAYLOAD_FOLDER))
  putFile(filling, DECLARATION_FILE, BAG_DECLARATION)
  putFile(filling, INFO_FILE, infoText(infoLines(contents, uuid, at, oxumOf(payload))))
  putFile(filling, TAG_README, readmeText(contents, hasStems))
  putFile(filling, PAYLOAD_MANIFEST, manifestText(payload))
  const tags = files.filter(({ path }) => !path.startsWith(PAYLOAD_FOLDER))
  writeNewFile(join(filling.root, TAG_MANIFEST), manifestText(tags), createFileInside)
}

/** The first name of a bag that is free. */
function nextBagName(folder: string, uuid: string): string {
  let number = 1
  while (number < MAX_BAGS && !isFree(join(folder, bagName(uuid, number)))) number++
  return bagName(uuid, number)
}

function commitAsNext(bag: NewFolder, folder: string, uuid: string): string {
  for (let number = 1; number <= MAX_BAGS; number++) {
    const path = join(folder, bagName(uuid, number))
    if (!isFree(path)) continue
    try {
      bag.commit(path)
      return path
    } catch (error) {
      // Another program took this name first.
      if (!(error instanceof Failure && error.code === 'conflict')) throw error
    }
  }
  throw new Failure('conflict', `${folder} has too many archives of this session; choose another folder.`, {
    path: folder,
  })
}

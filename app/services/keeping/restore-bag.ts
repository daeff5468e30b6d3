// Restores the session of a bag into a catalogue. Nothing is overwritten, and restoring twice adds nothing.

import { existsSync, lstatSync } from 'node:fs'
import { readFile, statfs } from 'node:fs/promises'
import { basename, extname, join, resolve } from 'node:path'
import type { ListedFile } from '../../bag/bag-texts.ts'
import type { RestoreOutcome } from '../../contract/exchange/archive.ts'
import type { HistoryAnswers } from '../../contract/exchange/merge.ts'
import { Failure } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import { ensureFolder } from '../../files/ensure-folder.ts'
import { createNewFolder, renameInside } from '../../files/new-folder.ts'
import { MANIFEST_FILE, refuseInsideKept } from '../bounces/delivery-folder.ts'
import { verifyBounce } from '../bounces/verify.ts'
import { mergeHistory } from '../history/merge-history.ts'
import { readHistory } from '../history/read-history.ts'
import { catalogueRoot, keptPath, locateTakes, placesIn } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { type CheckedBag, validateBag } from './bag-folder.ts'
import { PAYLOAD_HISTORY, PAYLOAD_STEMS, PAYLOAD_TAKES } from './bag-layout.ts'
import { outputsInBag, restoreOutputs } from './restore-outputs.ts'
import { checkSessionDocument } from './session-document.ts'

/** Shares of the progress: checking the archive, copying takes; the rest is verifying the stems. */
const CHECK_SHARE = 0.3
const COPY_SHARE = 0.3
/** More room than the bytes themselves, for what a disk needs beside them. */
const ROOM_FACTOR = 1.1
const MAX_NAMES = 1000

/**
 * Validates the bag, copies the takes that are not there, merges the history, and renders the stems again.
 * @param request.bag absolute path of the bag; request.takes absolute path of the folder for takes
 * @throws Failure `damaged` for a bag that is not valid, `disk-full` before anything is copied, and of merging;
 *   takes that were copied until then stay, and a second restore uses them
 */
export async function restoreBag(
  workplace: Workplace,
  {
    bag,
    takes: folder,
    answers = [],
  }: { readonly bag: string; readonly takes: string; readonly answers?: HistoryAnswers },
  context: CallContext,
): Promise<RestoreOutcome> {
  const { catalogue, pool, verifiedFiles, now } = workplace
  const root = catalogueRoot(catalogue.path)
  refuseInsideKept(join(resolve(folder), 'take'))
  const checked = await validateBag(pool, bag, {
    signal: context.signal,
    report: (fraction, doing) => context.report(CHECK_SHARE * fraction, doing),
  })
  const uuid = sessionOf(checked, bag)
  await checkSessionDocument(bag, checked, uuid)
  const history = await readHistory(await readFile(join(bag, PAYLOAD_HISTORY)), join(bag, PAYLOAD_HISTORY))
  const archived = checked.payload.filter(({ path }) => path.startsWith(`${PAYLOAD_TAKES}/`))
  const outputBytes = [...outputsInBag(checked.payload).values()]
    .flat()
    .reduce((sum, { path }) => sum + (checked.files.find((file) => file.path === path)?.sizeBytes ?? 0), 0)
  await refuseFullDisk(root, outputBytes, 'bounces and deliveries')
  const placed = await copyTakes(workplace, { bag, folder, archived, checked }, context)

  mergeHistory(workplace, history, answers)
  const sessionId = catalogue.identities.rowOf('sessions', uuid)
  if (sessionId === undefined) {
    throw new Failure(
      'damaged',
      `The history in ${bag} does not have the session of the archive; use another copy.`,
      {
        path: bag,
      },
    )
  }
  const known = archived.flatMap(({ sha256 }) => catalogue.takes.findBySha256(sha256) ?? [])
  const { absent } = await locateTakes(verifiedFiles, root, known)
  catalogue.transaction(() => {
    for (const { take } of absent) {
      const path = placed.get(take.sha256)
      if (path !== undefined) catalogue.takes.moveTo(take.id, keptPath(root, path))
    }
    const { artistId, artistName, songTitle } = catalogue.sessions.get(sessionId)
    catalogue.archives.insert(
      {
        ...{ act: 'restored', sessionUuid: uuid, artistId, artistName, songTitle },
        ...{ path: bag, takes: archived.length },
      },
      now(),
    )
  })
  const outputs = await restoreOutputs(
    catalogue,
    sessionId,
    { bag, payload: checked.payload },
    context.signal,
  )
  workplace.emit('catalogueChanged', { subjects: ['takes', 'stack', 'sessions', 'ledger'] })
  const verified = await verifyStems(workplace, bag, context)
  return {
    ...{ sessionId, copied: placed.size, there: archived.length - placed.size },
    ...{ same: verified.same, differing: verified.differing },
    outputs: outputs.copied,
    remarks: [...outputs.remarks, ...verified.remarks],
  }
}

function sessionOf({ info }: CheckedBag, bag: string): string {
  const [, value = ''] = info.find(([label]) => label === 'External-Identifier') ?? []
  const uuid = /^urn:uuid:([0-9a-f-]{36})$/.exec(value)?.[1]
  if (uuid !== undefined) return uuid
  throw new Failure(
    'not-supported',
    `${bag} is a whole bag, but not the archive of a session; choose the folder that Takeloft archived.`,
    { path: bag },
  )
}

/** @returns where each take that was not there is now, by its hash */
async function copyTakes(
  { catalogue, pool, verifiedFiles }: Workplace,
  {
    bag,
    folder,
    archived,
    checked,
  }: { bag: string; folder: string; archived: readonly ListedFile[]; checked: CheckedBag },
  { signal, report }: CallContext,
): Promise<Map<string, string>> {
  const root = catalogueRoot(catalogue.path)
  const isThere = async ({ sha256 }: ListedFile): Promise<boolean> => {
    const take = catalogue.takes.findBySha256(sha256)
    return take !== undefined && (await locateTakes(verifiedFiles, root, [take])).found.length > 0
  }
  const sizeOf = new Map(checked.files.map(({ path, sizeBytes }) => [path, sizeBytes]))
  const wanted: ListedFile[] = []
  for (const file of archived) if (!(await isThere(file))) wanted.push(file)
  const placed = new Map<string, string>()
  if (wanted.length === 0) return placed
  ensureFolder(folder)
  const total = wanted.reduce((sum, { path }) => sum + (sizeOf.get(path) ?? 0), 0)
  await refuseFullDisk(folder, total, 'takes')
  const unfinished = createNewFolder(folder)
  try {
    let done = 0
    for (const { path, sha256 } of wanted) {
      const target = await findName(folder, basename(path), async (taken) => {
        const hash = await pool.run('hashFile', { path: taken }, { signal }).catch(() => null)
        return hash === sha256
      })
      if (!target.isSame) {
        const copy = join(unfinished.path, basename(path))
        const copied = await copyFileInside(join(bag, path), copy, 'a recording', signal, (bytes) =>
          report(CHECK_SHARE + (COPY_SHARE * (done + bytes)) / Math.max(1, total), 'Copying the takes'),
        )
        if (copied !== sha256) {
          throw new Failure('changed', `${join(bag, path)} changed while it was copied; restore again.`, {
            path,
          })
        }
        renameInside(copy, target.path)
      }
      done += sizeOf.get(path) ?? 0
      placed.set(sha256, target.path)
    }
    return placed
  } catch (error) {
    throw namingAskedFor(error, folder)
  } finally {
    unfinished.discard()
  }
}

/** A name that is free, or that a file with the same bytes has. */
async function findName(
  folder: string,
  name: string,
  isSame: (path: string) => Promise<boolean>,
): Promise<{ path: string; isSame: boolean }> {
  const ending = extname(name)
  const stem = name.slice(0, name.length - ending.length)
  for (let number = 1; number <= MAX_NAMES; number++) {
    const path = join(folder, number === 1 ? name : `${stem}-${number}${ending}`)
    // A link that leads nowhere and an empty folder take their names as well.
    if (lstatSync(path, { throwIfNoEntry: false }) === undefined) return { path, isSame: false }
    if (await isSame(path)) return { path, isSame: true }
  }
  throw new Failure(
    'conflict',
    `${folder} has too many files named ${name}; choose another folder for the takes.`,
    {
      path: folder,
    },
  )
}

async function refuseFullDisk(folder: string, bytes: number, what: string): Promise<void> {
  const { bavail, bsize } = await statfs(folder)
  const free = bavail * bsize
  if (free >= bytes * ROOM_FACTOR) return
  throw new Failure(
    'disk-full',
    `The ${what} need ${Math.ceil((bytes * ROOM_FACTOR) / 1e6)} MB, and the disk of ${folder} has ${Math.floor(free / 1e6)} MB free; free some space or choose another folder. Nothing was restored.`,
    { path: folder, bytes, free },
  )
}

/** The session is restored by now, so what cannot be verified is told beside it and is no failure of the restore. */
async function verifyStems(
  { catalogue, pool }: Workplace,
  bag: string,
  { signal, report }: CallContext,
): Promise<Pick<RestoreOutcome, 'same' | 'differing' | 'remarks'>> {
  const manifest = join(bag, PAYLOAD_STEMS, MANIFEST_FILE)
  if (!existsSync(manifest)) return { same: [], differing: [], remarks: [] }
  try {
    const { same, differing, unverified } = await verifyBounce(
      pool,
      manifest,
      {
        signal,
        report: (fraction, doing) =>
          report(CHECK_SHARE + COPY_SHARE + (1 - CHECK_SHARE - COPY_SHARE) * fraction, doing),
      },
      placesIn(catalogue),
    )
    return { same, differing: [...differing, ...unverified], remarks: [] }
  } catch (error) {
    if (signal.aborted || !(error instanceof Failure)) throw error
    return {
      same: [],
      differing: [{ stem: MANIFEST_FILE, reason: error.message }],
      remarks: [`The session is restored, but its stems could not be verified: ${error.message}`],
    }
  }
}

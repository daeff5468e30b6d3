// Imports takes: each file is hashed and measured, then stored with its facts or refused with a reason.
// The files themselves stay where they are and are never written to.

import { existsSync, statSync } from 'node:fs'
import { basename, extname, resolve } from 'node:path'
import type { NewTake } from '../../../db/tables/takes.ts'
import type { AudioFormat } from '../../audio/audio-source.ts'
import { remarksOn } from '../../audio/format-remarks.ts'
import { refuseManyChannels } from '../../audio/take-channels.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure, type FailureData, failureDataOf } from '../../contract/failure.ts'
import type { Finding } from '../../contract/finding.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'
import type { Handlers, ImportOutcome, ParsedInputOf } from '../../contract/wire/commands.ts'
import { identityIfAny } from '../../files/file-identity.ts'
import { paced } from '../paced.ts'
import type { Workplace } from '../workplace.ts'
import { createImportProgress } from './import-progress.ts'
import { findSamePerformances } from './same-performances.ts'
import { refuseUnconvertible } from './session-rate.ts'
import { catalogueRoot, keptPath, locateTakes } from './take-files.ts'

type FileToImport = ParsedInputOf<'importTakes'>['files'][number]
type IntakeActs = 'importTakes' | 'updateTake' | 'bindUploadToPage' | 'discardUploads'
type Imported = {
  readonly take: Take
  /** Whether the session did not have it before. */
  readonly isAdded: boolean
  readonly remarks: readonly string[]
}

/** How often windows read the takes of a session again while an import adds to them. */
const SHOWN_EVERY_MS = 300

export function intakeHandlers(workplace: Workplace): Pick<Handlers, IntakeActs> {
  const { catalogue, pool, folders, sentFiles, verifiedFiles } = workplace
  const root = catalogueRoot(catalogue.path)
  let lastTurn: Promise<unknown> = Promise.resolve()
  /**
   * Takes are stored one at a time, each after it was compared with those before it: the facts of a take
   * never change, so shared performances must be found before it is stored.
   */
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const turn = lastTurn.then(work)
    lastTurn = turn.catch(() => undefined)
    return turn
  }

  /** Whether a file of the take, other than the one at `path`, is there with the bytes of the take. */
  const isThere = async (take: Take, path: string): Promise<boolean> => {
    const { found } = await locateTakes(verifiedFiles, root, [take])
    return found.length > 0 && found[0].path !== path
  }

  return {
    async importTakes({ sessionId, files, voiceId, micId, curveId }, { signal, report }) {
      const sent = sentFiles.beginImport(files.map(({ path }) => resolve(path)))
      try {
        const session = catalogue.sessions.get(sessionId)
        const before = new Set(catalogue.takes.idsOfSession(sessionId))
        const outcome: ImportOutcome = { takes: [], addedIds: [], refused: [], remarks: [], notReached: 0 }
        const progress = createImportProgress(
          files.map((file) => ({ path: file.path, name: nameOf(file) })),
          report,
        )
        const shown = paced(
          () => workplace.emit('catalogueChanged', { subjects: ['takes', 'ledger'] }),
          SHOWN_EVERY_MS,
        )
        const importOne = async (file: FileToImport, index: number): Promise<Imported> => {
          const remarks: string[] = []
          const path = resolve(file.path)
          const fileName = nameOf(file)
          const identity = identityIfAny(path)
          const measured = await pool.run(
            'measureTake',
            { path, workingFolder: folders.working, peaksFolder: folders.peaks },
            { signal, onProgress: (fraction) => progress.advance(index, fraction) },
          )
          const { format } = measured
          refuseUnusable(fileName, format, session.sampleRateHz)
          const { take, isNew } = await inTurn(async () => {
            const known = catalogue.takes.findBySha256(measured.sha256)
            const facts =
              known?.facts ??
              withFindings(
                measured.facts,
                await findSamePerformances(
                  workplace,
                  sessionId,
                  { ...measured, path, name: fileName },
                  signal,
                ),
              )
            // A sent copy of a take whose own file is there is of no use, and is removed.
            const isSpare = known !== undefined && sent.has(path) && (await isThere(known, path))
            const fileFacts = {
              timeReferenceSamples: format.timeReferenceSamples,
              sizeBytes: statSync(path).size,
            }
            // One transaction, because a take without a session would be stored but not shown.
            const stored = catalogue.transaction(() => {
              const entry =
                known !== undefined
                  ? { take: known, isNew: false }
                  : insertOrFind(catalogue, {
                      sha256: measured.sha256,
                      name: basename(fileName, extname(fileName)),
                      path: keptPath(root, path),
                      container: format.container,
                      encoding: format.encoding,
                      sampleRateHz: format.sampleRateHz,
                      channels: format.channels,
                      frames: format.frames,
                      ...fileFacts,
                      importedAt: workplace.now(),
                      voiceId,
                      micId,
                      curveId,
                      facts,
                    })
              if (!entry.isNew) catalogue.takes.complete(entry.take.id, fileFacts)
              const take = entry.isNew
                ? entry.take
                : isSpare
                  ? catalogue.takes.get(entry.take.id)
                  : noteSeen(catalogue, root, entry.take, path)
              catalogue.takes.linkToSession(sessionId, take.id)
              return { take, isNew: entry.isNew }
            })
            if (!isSpare) sent.keep(path)
            if (identity !== null) verifiedFiles.noteIfUntouched(path, measured.sha256, identity)
            return stored
          })
          if (!isNew) {
            remarks.push(
              `${fileName} is already in the catalogue as ${take.name}; that take is used, with its mic and voice.`,
            )
          }
          remarks.push(...remarksOn(fileName, format), ...lateStampRemarks(fileName, format))
          if (format.sampleRateHz !== session.sampleRateHz) {
            remarks.push(
              `${fileName} is at ${format.sampleRateHz / 1000} kHz and is converted to the session’s ${session.sampleRateHz / 1000} kHz when it is heard and bounced.`,
            )
          }
          return { take, isAdded: !before.has(take.id), remarks }
        }

        // One worker per thread of the pool; the outcome lists the takes in the order of the files.
        const imported = new Array<Imported | undefined>(files.length)
        const waiting = [...files.entries()]
        const worker = async (): Promise<void> => {
          for (let next = waiting.shift(); next !== undefined && !signal.aborted; next = waiting.shift()) {
            const [index, file] = next
            progress.begin(index)
            try {
              imported[index] = await importOne(file, index)
              // The take appears while the others are still being measured.
              shown.ask()
            } catch (error) {
              if (signal.aborted) return
              outcome.refused.push(refusalOf(file, sent.has(resolve(file.path)), failureDataOf(error)))
            }
            progress.end(index, imported[index] !== undefined)
          }
        }
        await Promise.all(Array.from({ length: pool.threads }, worker))
        for (const one of imported) {
          if (one === undefined) continue
          outcome.takes.push(one.take)
          if (one.isAdded && !outcome.addedIds.includes(one.take.id)) outcome.addedIds.push(one.take.id)
          outcome.remarks.push(...one.remarks)
        }
        shown.flush()
        // Takes imported before a cancel stay imported.
        outcome.notReached = files.length - outcome.takes.length - outcome.refused.length
        if (outcome.notReached === files.length)
          throw new Failure('cancelled', 'Cancelled; no take was imported.')
        return outcome
      } finally {
        sent.end()
      }
    },

    async bindUploadToPage({ path }, { page }) {
      sentFiles.bindToPage(path, page)
      return {}
    },
    async discardUploads({ paths }) {
      sentFiles.drop(paths)
      return {}
    },

    async updateTake({ id, changes }) {
      const take = catalogue.takes.get(id)
      // A curve belongs to its mic, so changing the mic clears it.
      const curveId =
        changes.micId !== undefined && changes.micId !== take.micId
          ? (changes.curveId ?? null)
          : changes.curveId
      const updated = catalogue.takes.update(id, { ...changes, curveId })
      workplace.emit('catalogueChanged', { subjects: ['takes', 'stack'] })
      return updated
    },
  }
}

/** A sent file is named by its own name, because the user does not know the path of its copy. */
function refusalOf(
  file: FileToImport,
  isSent: boolean,
  failure: FailureData,
): ImportOutcome['refused'][number] {
  const { path } = file
  if (!isSent) return { path, failure }
  const name = nameOf(file)
  return { path: name, failure: { ...failure, message: failure.message.replaceAll(path, name) } }
}

/** What the user calls a file. */
const nameOf = ({ name, path }: FileToImport): string => name ?? basename(path)

/** Finds the existing take if another process has imported the same bytes at the same time. */
function insertOrFind({ takes }: Workplace['catalogue'], fields: NewTake): { take: Take; isNew: boolean } {
  try {
    return { take: takes.insert(fields), isNew: true }
  } catch (error) {
    const known = takes.findBySha256(fields.sha256)
    if (known === undefined) throw error
    return { take: known, isNew: false }
  }
}

/** A take seen at another path keeps its own path, unless its file is gone: then it gets the other path. */
function noteSeen(catalogue: Workplace['catalogue'], root: string, take: Take, path: string): Take {
  const { takes } = catalogue
  if (existsSync(resolve(root, take.path))) return takes.noteCopy(take.id, keptPath(root, path))
  takes.moveTo(take.id, keptPath(root, path))
  return takes.get(take.id)
}

/** A stamp that is not followed is said, because the take then lies at the session's start. */
function lateStampRemarks(
  fileName: string,
  { lateStampSamples, sampleRateHz }: Pick<AudioFormat, 'lateStampSamples' | 'sampleRateHz'>,
): string[] {
  if (lateStampSamples === null) return []
  const hours = (lateStampSamples / sampleRateHz / 3600).toFixed(1)
  return [
    `${fileName} has a time stamp of ${hours} h, and a day has 24, so the stamp is not used and the take is placed at the session’s start; move its layer to where it belongs, or correct the stamp and import the file again.`,
  ]
}

const withFindings = (facts: TakeFacts, findings: readonly Finding[]): TakeFacts => ({
  ...facts,
  findings: [...facts.findings, ...findings],
})

function refuseUnusable(
  fileName: string,
  format: { channels: number; frames: number; sampleRateHz: number },
  sessionRateHz: number,
): void {
  refuseManyChannels(fileName, format.channels)
  refuseUnconvertible(fileName, format.sampleRateHz, sessionRateHz)
}

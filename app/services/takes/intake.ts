// Imports takes: each file is hashed and measured, then stored with its facts or refused with a reason.
// The files themselves stay where they are and are never written to.

import { existsSync } from 'node:fs'
import { basename, extname, resolve } from 'node:path'
import type { NewTake } from '../../../db/tables/takes.ts'
import { hashFile } from '../../audio/sha256.ts'
import { unreadRemark } from '../../audio/unread-remark.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import type { Finding } from '../../contract/finding.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'
import type { Handlers, ImportOutcome, ParsedInputOf } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { findSamePerformances } from './same-performances.ts'
import { refuseUnconvertible } from './session-rate.ts'
import { catalogueRoot, keptPath } from './take-files.ts'

type FileToImport = ParsedInputOf<'importTakes'>['files'][number]
type IntakeActs = 'importTakes' | 'updateTake' | 'bindSentFile' | 'dropSentFiles'
type Imported = { readonly take: Take; readonly remarks: readonly string[] }

export function intakeHandlers(workplace: Workplace): Pick<Handlers, IntakeActs> {
  const { catalogue, pool, folders, sentFiles } = workplace
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

  return {
    async importTakes({ sessionId, files, voiceId, micId, curveId }, { signal, report }) {
      const sent = sentFiles.beginImport(files.map(({ path }) => resolve(path)))
      try {
        const session = catalogue.sessions.get(sessionId)
        const outcome: ImportOutcome = { takes: [], refused: [], remarks: [] }
        let done = 0
        const importOne = async (file: FileToImport): Promise<Imported> => {
          const remarks: string[] = []
          const path = resolve(file.path)
          const fileName = file.name ?? basename(path)
          const measured = await pool.run(
            'measureTake',
            { path, workingFolder: folders.working, peaksFolder: folders.peaks },
            { signal },
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
            // One transaction, because a take without a session would be stored but not shown.
            return sent.keepWhile(path, () =>
              catalogue.transaction(() => {
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
                        importedAt: workplace.now(),
                        voiceId,
                        micId,
                        curveId,
                        facts,
                      })
                const take = entry.isNew ? entry.take : noteSeen(catalogue, root, entry.take, path)
                catalogue.takes.linkToSession(sessionId, take.id)
                return { take, isNew: entry.isNew }
              }),
            )
          })
          if (!isNew) {
            remarks.push(
              `${fileName} is already in the catalogue as ${take.name}; that take is used, with its mic and voice.`,
            )
          }
          const unread = unreadRemark(fileName, format)
          if (unread !== null) remarks.push(unread)
          if (format.sampleRateHz !== session.sampleRateHz) {
            remarks.push(
              `${fileName} is at ${format.sampleRateHz / 1000} kHz and is converted to the session’s ${session.sampleRateHz / 1000} kHz when it is heard and bounced.`,
            )
          }
          return { take, remarks }
        }

        // One worker per thread of the pool; the outcome lists the takes in the order of the files.
        const imported = new Array<Imported | undefined>(files.length)
        const waiting = [...files.entries()]
        const worker = async (): Promise<void> => {
          for (let next = waiting.shift(); next !== undefined && !signal.aborted; next = waiting.shift()) {
            const [index, file] = next
            try {
              imported[index] = await importOne(file)
            } catch (error) {
              if (signal.aborted) return
              outcome.refused.push({ path: file.path, failure: failureDataOf(error) })
            }
            report(++done / files.length, `${done} of ${files.length} imported`)
          }
        }
        await Promise.all(Array.from({ length: pool.threads }, worker))
        for (const one of imported) {
          if (one === undefined) continue
          outcome.takes.push(one.take)
          outcome.remarks.push(...one.remarks)
        }
        // Takes imported before a cancel stay imported and must be shown.
        if (outcome.takes.length > 0) workplace.emit('catalogueChanged', { subjects: ['takes', 'ledger'] })
        if (done < files.length) throw cancelledImport(outcome.takes.length, files.length)
        return outcome
      } finally {
        sent.end()
      }
    },

    async bindSentFile({ path }, { page }) {
      sentFiles.bindToPage(path, page)
      return {}
    },
    async dropSentFiles({ paths }) {
      sentFiles.drop(paths)
      return {}
    },

    async updateTake({ id, changes }, { signal }) {
      const take = catalogue.takes.get(id)
      const { path, ...rest } = changes
      if (path !== undefined) {
        const found = resolve(path)
        if (!existsSync(found))
          throw new Failure('not-found', `There is no file at ${found}.`, { path: found })
        if ((await hashFile(found, signal)) !== take.sha256) {
          throw new Failure(
            'changed',
            `${found} is not the take ${take.name}: its bytes differ. Choose the file as it was imported, or import this one as a new take.`,
            { path: found },
          )
        }
        catalogue.takes.moveTo(id, keptPath(root, found))
      }
      // A curve belongs to its mic, so changing the mic clears it.
      const curveId =
        rest.micId !== undefined && rest.micId !== take.micId ? (rest.curveId ?? null) : rest.curveId
      const updated = catalogue.takes.update(id, { ...rest, curveId })
      workplace.emit('catalogueChanged', { subjects: ['takes', 'stack'] })
      return updated
    },
  }
}

function cancelledImport(imported: number, of: number): Failure {
  const kept =
    imported === 0
      ? 'no take was imported'
      : `${imported} of ${of} takes ${imported === 1 ? 'was' : 'were'} imported`
  return new Failure('cancelled', `Cancelled; ${kept}.`, { imported, of })
}

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
  return existsSync(resolve(root, take.path))
    ? catalogue.takes.noteCopy(take.id, keptPath(root, path))
    : catalogue.takes.moveTo(take.id, keptPath(root, path))
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
  if (format.channels > 2) {
    throw new Failure(
      'not-supported',
      `${fileName} has ${format.channels} channels, and a take has one or two; export the vocal's channels by themselves.`,
      { channels: format.channels },
    )
  }
  refuseUnconvertible(fileName, format.sampleRateHz, sessionRateHz)
}

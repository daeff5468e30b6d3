// Taking takes in: hashed, measured, refused with a reason or kept with their facts. The
// files themselves stay where they are and are never written to.

import { existsSync } from 'node:fs'
import { basename, extname, resolve } from 'node:path'
import { hashFile } from '../audio/sha256.ts'
import type { Handlers, ImportOutcome, ParsedInputOf } from '../contract/commands.ts'
import type { Take } from '../contract/entities.ts'
import { Failure, failureDataOf } from '../contract/failure.ts'
import { isConvertible } from '../dsp/rate-conversion.ts'
import { catalogueRoot, keptPath } from './take-files.ts'
import type { Workplace } from './workplace.ts'

type FileToImport = ParsedInputOf<'importTakes'>['files'][number]
type Imported = { readonly take: Take; readonly isNew: boolean; readonly remarks: readonly string[] }

export function intakeHandlers(workplace: Workplace): Pick<Handlers, 'importTakes' | 'updateTake'> {
  const { catalogue, pool, folders } = workplace
  const root = catalogueRoot(catalogue.path)

  return {
    async importTakes({ sessionId, files, voiceId, micId, curveId }, { signal, report }) {
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
        const known = catalogue.takes.findBySha256(measured.sha256)
        const take =
          known !== undefined
            ? catalogue.takes.update(known.id, { path: keptPath(root, path) })
            : catalogue.takes.insert({
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
                facts: measured.facts,
              })
        catalogue.takes.linkToSession(sessionId, take.id)
        if (known !== undefined) {
          remarks.push(
            `${fileName} is already in the catalogue as ${known.name}; that take is used, with its mic and voice.`,
          )
        }
        if (format.sampleRateHz !== session.sampleRateHz) {
          remarks.push(
            `${fileName} has ${format.sampleRateHz} Hz and is converted to the session’s ${session.sampleRateHz} Hz when it is heard and bounced.`,
          )
        }
        return { take, isNew: known === undefined, remarks }
      }

      // As many at once as there are threads; the answer is in the order of the files.
      const imported = new Array<Imported | undefined>(files.length)
      const waiting = [...files.entries()]
      const worker = async (): Promise<void> => {
        for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
          const [index, file] = next
          try {
            imported[index] = await importOne(file)
          } catch (error) {
            if (signal.aborted) throw error
            outcome.refused.push({ path: file.path, failure: failureDataOf(error) })
          }
          report(++done / files.length, `${done} of ${files.length} taken in`)
        }
      }
      await Promise.all(Array.from({ length: pool.threads }, worker))
      const takes = await Promise.all(
        imported.map((one) =>
          one?.isNew ? withSamePerformances(workplace, sessionId, one.take, signal) : one?.take,
        ),
      )
      for (const [index, take] of takes.entries()) {
        if (take === undefined) continue
        outcome.takes.push(take)
        outcome.remarks.push(...(imported[index]?.remarks ?? []))
      }
      workplace.emit('catalogueChanged', { subjects: ['takes', 'ledger'] })
      return outcome
    },

    async updateTake({ id, changes }, { signal }) {
      const take = catalogue.takes.get(id)
      const { path, ...rest } = changes
      let newPath: string | undefined
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
        newPath = keptPath(root, found)
      }
      // A curve belongs to its mic, so another mic lets go of it.
      const curveId =
        rest.micId !== undefined && rest.micId !== take.micId ? (rest.curveId ?? null) : rest.curveId
      const updated = catalogue.takes.update(id, { ...rest, curveId, path: newPath })
      workplace.emit('catalogueChanged', { subjects: ['takes', 'stack'] })
      return updated
    },
  }
}

/** The take with a finding for each earlier take of the session that holds the same performance. */
async function withSamePerformances(
  { catalogue, pool, folders }: Workplace,
  sessionId: number,
  take: Take,
  signal: AbortSignal,
): Promise<Take> {
  const root = catalogueRoot(catalogue.path)
  const named = ({ sha256, name, path }: Take) => ({ sha256, name, path: resolve(root, path) })
  // Each pair once: the later take says which earlier one it repeats.
  const earlier = catalogue.takes.listOfSession(sessionId).filter(({ id }) => id < take.id)
  const phrases = take.facts.check?.phrases ?? []
  if (earlier.length === 0 || phrases.length === 0) return take
  const findings = await pool.run(
    'findSamePerformance',
    {
      take: { ...named(take), phrases },
      others: earlier.map(named),
      workingFolder: folders.working,
      peaksFolder: folders.peaks,
    },
    { signal },
  )
  return findings.length === 0 ? take : catalogue.takes.addFindings(take.id, findings)
}

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
  if (format.sampleRateHz !== sessionRateHz && !isConvertible(format.sampleRateHz, sessionRateHz)) {
    throw new Failure(
      'not-supported',
      `${fileName} has a sample rate of ${format.sampleRateHz} Hz, which cannot be converted to the session's ${sessionRateHz} Hz; export it at a standard rate.`,
      { sampleRateHz: format.sampleRateHz },
    )
  }
}

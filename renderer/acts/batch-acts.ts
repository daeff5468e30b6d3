// Imports a batch of files: makes each readable for the services, then imports all of them.
// Refused files are reported with the reason until the report is dismissed.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Failure, failureDataOf } from '../../app/contract/failure.ts'
import type { ImportOutcome } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { countOf } from '../../app/words/numbers.ts'
import { pathOfFile } from '../state/bridge.ts'
import { bridge, client } from '../state/connection.ts'
import { remark, runBackgroundTask } from '../state/notices.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import { noteSending } from './broken-sending.ts'

/** Voice, mic and curve of all takes of a batch; null where they differ or are unknown. */
export interface BatchSettings {
  readonly voiceId: number | null
  readonly micId: number | null
  readonly curveId: number | null
}

type Refusal = ImportOutcome['refused'][number]

export interface BatchReport {
  /** How many takes were imported. */
  readonly taken: number
  readonly refused: readonly Refusal[]
  readonly remarks: readonly string[]
}

/** Share of the progress bar for sending the files, where they have to be sent to the host. */
const SENDING_SHARE = 0.3

/** Names a sent file by its own name instead of the path of its copy, which the user does not know. */
function nameByFile(refusal: Refusal, found: readonly { path: string; name: string }[]): Refusal {
  const file = found.find((one) => one.path === refusal.path)
  if (file === undefined || !bridge.sendsFiles) return refusal
  const message = refusal.failure.message.replaceAll(refusal.path, file.name)
  return { path: file.name, failure: { ...refusal.failure, message } }
}

const reports = createStore<Readonly<Record<number, BatchReport | null>>>()(() => ({}))

/** The report of a session's last import; null if it had nothing to report, and once it was dismissed. */
export const useBatchReport = (sessionId: number): BatchReport | null =>
  useStore(reports, (state) => state[sessionId] ?? null)
/** Closes the report of a session's last import. */
export const dismissBatchReport = (sessionId: number): void => reports.setState({ [sessionId]: null })

/**
 * Imports files into a session, with progress, cancel and a report.
 * @param settings apply to every file
 */
export async function importBatch(
  sessionId: number,
  files: readonly File[],
  settings: BatchSettings,
): Promise<void> {
  if (files.length === 0) return
  const title = nameOfBackgroundTask({ kind: 'import', files: files.length, sessionId })
  dismissBatchReport(sessionId)
  const outcome = await runBackgroundTask(title, async (options) => {
    const refused: Refusal[] = []
    const found: { path: string; name: string }[] = []
    const endSending = noteSending(title)
    const bytes = files.reduce((sum, { size }) => sum + size, 0)
    const sendingShare = bridge.sendsFiles ? SENDING_SHARE : 0
    let sentBytes = 0
    for (const file of files) {
      options.onProgress((sentBytes / Math.max(1, bytes)) * sendingShare, file.name)
      sentBytes += file.size
      try {
        const path = await pathOfFile(bridge, file, options.signal)
        found.push({ path, name: file.name })
        await client.bindSentFile({ path })
      } catch (error) {
        if (options.signal.aborted) break
        refused.push({ path: file.name, failure: failureDataOf(error) })
      }
    }
    if (!endSending() || options.signal.aborted) {
      await client.dropSentFiles({ paths: found.map(({ path }) => path) })
      throw new Failure('cancelled', 'Cancelled; no take was imported.')
    }
    if (found.length === 0) return { taken: 0, refused, remarks: [], firstTakeId: null }
    const imported = await client.importTakes(
      { sessionId, files: found, ...settings },
      {
        signal: options.signal,
        onProgress: (fraction, doing) =>
          options.onProgress(sendingShare + fraction * (1 - sendingShare), doing),
      },
    )
    return {
      taken: imported.takes.length,
      refused: [...refused, ...imported.refused.map((one) => nameByFile(one, found))],
      remarks: imported.remarks,
      firstTakeId: imported.takes[0]?.id ?? null,
    }
  })
  if (outcome === undefined) return
  // Only if the user is still viewing the takes of this session.
  const { place, sessionId: shown } = readSelection()
  if (outcome.firstTakeId !== null && place === 'intake' && shown === sessionId)
    selectTake(outcome.firstTakeId)
  showReport(sessionId, outcome)
}

/** Reports an import that an earlier page started. */
export const showImportOutcome = (sessionId: number, { takes, refused, remarks }: ImportOutcome): void =>
  showReport(sessionId, { taken: takes.length, refused, remarks })

function showReport(sessionId: number, made: BatchReport): void {
  const isWorthReading = made.refused.length > 0 || made.remarks.length > 0
  reports.setState({ [sessionId]: isWorthReading ? made : null })
  if (!isWorthReading) remark(`${countOf(made.taken, 'take')} imported`)
}

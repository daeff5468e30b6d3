// Imports a batch of files: makes each readable for the services, then imports all of them.
// Refused files are reported with the reason until the report is dismissed.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Failure, failureDataOf } from '../../app/contract/failure.ts'
import type { ImportOutcome } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { importWords } from '../formats/import-words.ts'
import { pathOfFile } from '../state/bridge.ts'
import { bridge, client } from '../state/connection.ts'
import { remark, runBackgroundTask } from '../state/notices.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import type { ImportSettings } from '../state/take-desk.ts'
import { noteSending } from './broken-sending.ts'
import { beginImportStep } from './import-step.ts'

type Refusal = ImportOutcome['refused'][number]

export interface BatchReport {
  /** How many takes were imported. */
  readonly taken: number
  readonly refused: readonly Refusal[]
  readonly remarks: readonly string[]
  /** How many files were not imported because the import was cancelled. */
  readonly notReached: number
}

/** About how much of the time it takes to send the files to the host, where they have to be, and not to measure. */
const SENDING_SHARE = 0.1

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
  settings: ImportSettings,
): Promise<void> {
  if (files.length === 0) return
  const title = nameOfBackgroundTask({ kind: 'import', files: files.length, sessionId })
  dismissBatchReport(sessionId)
  const step = beginImportStep(title.charAt(0).toLowerCase() + title.slice(1), sessionId)
  const { takeId: chosenBefore } = readSelection()
  const run = runBackgroundTask(title, async ({ signal: cancelled, onProgress }) => {
    const signal = AbortSignal.any([cancelled, step.undone])
    const refused: Refusal[] = []
    const found: { path: string; name: string }[] = []
    const endSending = noteSending(title)
    const bytes = files.reduce((sum, { size }) => sum + size, 0)
    const sendingShare = bridge.sendsFiles ? SENDING_SHARE : 0
    let sentBytes = 0
    for (const file of files) {
      const tellSent = (ofFile: number): void =>
        onProgress(((sentBytes + ofFile) / Math.max(1, bytes)) * sendingShare, `Sending ${file.name}`)
      if (bridge.sendsFiles) tellSent(0)
      try {
        const path = await pathOfFile(bridge, file, signal, tellSent)
        found.push({ path, name: file.name })
        await client.bindUploadToPage({ path })
      } catch (error) {
        if (signal.aborted) break
        refused.push({ path: file.name, failure: failureDataOf(error) })
      }
      sentBytes += file.size
    }
    if (!endSending() || signal.aborted) {
      await client.discardUploads({ paths: found.map(({ path }) => path) })
      throw new Failure('cancelled', 'Cancelled; no take was imported.')
    }
    if (found.length === 0) return { taken: 0, refused, remarks: [], notReached: 0, takes: [], addedIds: [] }
    const imported = await client.importTakes(
      { sessionId, files: found, ...settings },
      {
        signal,
        onProgress: (fraction, doing) => onProgress(sendingShare + fraction * (1 - sendingShare), doing),
      },
    )
    return {
      ...imported,
      taken: imported.takes.length,
      refused: [...refused, ...imported.refused],
    }
  })
  const outcome = await whileImporting(sessionId, run)
  step.end(outcome?.addedIds ?? [])
  if (outcome === undefined || step.undone.aborted) return
  // Only if the user is still viewing the takes of this session, and has not chosen one since.
  const { place, sessionId: shown, takeId } = readSelection()
  const [first] = outcome.takes
  if (first !== undefined && place === 'intake' && shown === sessionId && takeId === chosenBefore)
    selectTake(first.id)
  showReport(sessionId, outcome)
}

const importing = createStore<Readonly<Record<number, number>>>()(() => ({}))

/** Whether an import into the session runs. */
export const useIsImporting = (sessionId: number): boolean =>
  useStore(importing, (state) => (state[sessionId] ?? 0) > 0)

/** Shows an import into the session as running until `run` has ended. */
export async function whileImporting<T>(sessionId: number, run: Promise<T>): Promise<T> {
  const add = (change: number): void =>
    importing.setState((state) => ({ [sessionId]: (state[sessionId] ?? 0) + change }))
  add(1)
  try {
    return await run
  } finally {
    add(-1)
  }
}

/** Reports an import that an earlier page started. */
export const showImportOutcome = (sessionId: number, { takes, ...outcome }: ImportOutcome): void =>
  showReport(sessionId, { ...outcome, taken: takes.length })

function showReport(sessionId: number, made: BatchReport): void {
  const isWorthReading = made.refused.length > 0 || made.remarks.length > 0 || made.notReached > 0
  reports.setState({ [sessionId]: isWorthReading ? made : null })
  if (!isWorthReading) remark(importWords(made))
}

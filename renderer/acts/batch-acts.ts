// Taking in a batch of files: each is made readable for the services, then all are imported;
// what was refused is kept with its reason until it has been read.

import { Failure, failureDataOf } from '../../app/contract/failure.ts'
import type { ImportOutcome } from '../../app/contract/wire/commands.ts'
import { nameOfLongAct } from '../../app/contract/wire/long-acts.ts'
import { countOf } from '../formats/format.ts'
import { pathOfFile } from '../state/bridge.ts'
import { bridge, client } from '../state/connection.ts'
import { remark, runLongAct } from '../state/notices.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import { createStore, useStore } from '../state/store.ts'
import { noteSending } from './broken-sending.ts'

/** What the whole batch was recorded with. */
export interface BatchSettings {
  readonly voiceId: number | null
  readonly micId: number | null
  readonly curveId: number | null
}

type Refusal = ImportOutcome['refused'][number]

export interface BatchReport {
  readonly taken: number
  readonly refused: readonly Refusal[]
  readonly remarks: readonly string[]
}

/** Share of the progress that sending the files takes, where they have to be sent. */
const SENDING_SHARE = 0.3

/** A copy that was sent to the host has a path that means nothing to the engineer: the file's own name stands for it. */
function nameByFile(refusal: Refusal, found: readonly { path: string; name: string }[]): Refusal {
  const file = found.find((one) => one.path === refusal.path)
  if (file === undefined || !bridge.sendsFiles) return refusal
  const message = refusal.failure.message.replaceAll(refusal.path, file.name)
  return { path: file.name, failure: { ...refusal.failure, message } }
}

const report = createStore<BatchReport | null>(null)
export const useBatchReport = (): BatchReport | null => useStore(report)
export const dismissBatchReport = (): void => report.set(null)

export async function importBatch(
  sessionId: number,
  files: readonly File[],
  settings: BatchSettings,
): Promise<void> {
  if (files.length === 0) return
  const title = nameOfLongAct({ kind: 'import', files: files.length })
  const outcome = await runLongAct(title, async (options) => {
    const refused: Refusal[] = []
    const found: { path: string; name: string }[] = []
    const endSending = noteSending(title)
    for (const [index, file] of files.entries()) {
      options.onProgress((index / files.length) * SENDING_SHARE, file.name)
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
          options.onProgress(SENDING_SHARE + fraction * (1 - SENDING_SHARE), doing),
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
  // What came in is what one wants to look at, unless one has gone to look at something else.
  const { place, sessionId: shown } = readSelection()
  if (outcome.firstTakeId !== null && place === 'intake' && shown === sessionId)
    selectTake(outcome.firstTakeId)
  showReport(outcome)
}

/** Shows the outcome of an import that an earlier page started. */
export const showImportOutcome = ({ takes, refused, remarks }: ImportOutcome): void =>
  showReport({ taken: takes.length, refused, remarks })

function showReport(made: BatchReport): void {
  if (made.refused.length > 0 || made.remarks.length > 0) report.set(made)
  else {
    report.set(null)
    remark(`${countOf(made.taken, 'take')} imported`)
  }
}

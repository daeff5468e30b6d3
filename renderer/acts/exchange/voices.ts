// Writes a voice to a file, and takes a file of another computer in.

import type { HistoryAnswers, HistoryMerge } from '../../../app/contract/exchange/merge.ts'
import { formatBytes } from '../../../app/words/format.ts'
import { addedWords } from '../../../app/words/history.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { pathOfFile } from '../../state/bridge.ts'
import { bridge, client } from '../../state/connection.ts'
import { remark } from '../../state/notices.ts'

/** @throws Failure as exportVoice */
export async function exportVoice(voiceId: number, name: string, path: string): Promise<void> {
  const { file, sizeBytes } = await client.exportVoice({ voiceId, path })
  remark(`${name} exported`, `${formatBytes(sizeBytes)} in ${file}.`)
}

/**
 * A path under which the services read a chosen file. A browser sends it; the copy is removed with the page or by
 * `discardSent`.
 * @throws Failure of pathOfFile
 */
export async function pathOfChosen(file: File, signal: AbortSignal): Promise<string> {
  const path = await pathOfFile(bridge, file, signal, () => {})
  await client.bindUploadToPage({ path })
  return path
}

/** Removes the copy of a chosen file; does nothing to a file that was not sent. */
export const discardSent = (path: string): Promise<unknown> => client.discardUploads({ paths: [path] })

/** @throws Failure as importVoice */
export async function importVoice(path: string, answers: HistoryAnswers): Promise<HistoryMerge> {
  const done = await client.importVoice({ path, answers })
  remark(
    `${done.voices.join(', ')} taken in`,
    `New: ${addedWords(done.added)}.`,
    ...(done.conflicts.length === 0
      ? []
      : [`${countOf(done.conflicts.length, 'difference')}, both sides kept; the ledger lists them.`]),
  )
  return done
}

// Exports the history of a voice to a file, and merges such a file of another computer.

import { resolve } from 'node:path'
import { MAX_HISTORY_BYTES } from '../../contract/exchange/limits.ts'
import type { HistoryAnswers, HistoryMerge } from '../../contract/exchange/merge.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { openOrdinaryFile } from '../../files/open-ordinary-file.ts'
import { writeNewFile } from '../../files/write-file.ts'
import { refuseGuarded } from '../takes/take-guard.ts'
import type { Workplace } from '../workplace.ts'
import { mergeHistory, previewHistory } from './merge-history.ts'
import { packHistory } from './pack-history.ts'
import { type HistoryEntries, readHistory } from './read-history.ts'

/** What yauzl's central directory and the headers of the most entries add to their bytes, with room. */
const MOST_ZIP_OVERHEAD_BYTES = 4 * 1024 * 1024

/**
 * Writes the history of a voice to a new file.
 * @throws Failure `not-found`, `conflict` where the file exists or must not be written, `disk-full`, `not-writable`
 */
export async function exportVoice(
  workplace: Pick<Workplace, 'catalogue' | 'folders'>,
  voiceId: number,
  path: string,
): Promise<{ file: string; sizeBytes: number }> {
  const file = resolve(path)
  // First, so that the wrong place is said before the work.
  await refuseGuarded(workplace, file)
  const bytes = await packHistory(workplace, { voiceIds: [voiceId] })
  writeNewFile(file, bytes)
  return { file, sizeBytes: bytes.length }
}

/** As mergeHistory, from a file. @throws Failure of readHistory and mergeHistory as well */
export async function importVoice(
  workplace: Pick<Workplace, 'catalogue' | 'folders' | 'now' | 'emit'>,
  path: string,
  answers: HistoryAnswers = [],
): Promise<HistoryMerge> {
  return mergeHistory(workplace, await readHistoryFile(path), answers)
}

async function readHistoryFile(path: string): Promise<HistoryEntries> {
  const from = resolve(path)
  const file = openOrdinaryFile(from, 'a history that Takeloft exported')
  try {
    if (file.sizeBytes > MAX_HISTORY_BYTES + MOST_ZIP_OVERHEAD_BYTES) {
      throw new Failure(
        'invalid-input',
        `${from} has ${Math.ceil(file.sizeBytes / 1e6)} MB, and a history has at most ${Math.ceil(MAX_HISTORY_BYTES / 1e6)} MB; choose a history that Takeloft exported.`,
        { path: from, sizeBytes: file.sizeBytes },
      )
    }
    const bytes = Buffer.alloc(file.sizeBytes)
    return await readHistory(bytes.subarray(0, file.readInto(bytes, file.sizeBytes, 0)), from)
  } finally {
    file.close()
  }
}

type ExchangeActs = 'exportVoice' | 'previewVoice' | 'importVoice'

export function voiceExchangeHandlers(workplace: Workplace): Pick<Handlers, ExchangeActs> {
  return {
    exportVoice: ({ voiceId, path }) => exportVoice(workplace, voiceId, path),
    previewVoice: async ({ path, answers }) =>
      previewHistory(workplace, await readHistoryFile(path), answers),
    importVoice: ({ path, answers }) => importVoice(workplace, path, answers),
  }
}

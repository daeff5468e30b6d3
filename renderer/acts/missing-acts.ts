// Finds the files of missing takes again, undoably, or imports a file as a take of its own.

import type { Take } from '../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { countOf } from '../../app/words/numbers.ts'
import { client } from '../state/connection.ts'
import { runBackgroundTask } from '../state/notices.ts'
import { showImportOutcome, whileImporting } from './batch-acts.ts'
import { beginImportStep } from './import-step.ts'
import { tryToPerform } from './undoable.ts'

type Found = InputOf<'relinkTakes'>['takes']

/**
 * Stores where the files of takes are now; undo forgets it again.
 * @throws Failure `changed` if a file is not the take
 */
export function relinkTakes(found: Found, names: readonly string[]): Promise<void> {
  let before: OutputOf<'relinkTakes'> = []
  return tryToPerform({
    label: names.length === 1 ? `find ${names[0]}` : `find ${countOf(names.length, 'take')}`,
    redo: async () => {
      before = await client.relinkTakes({ takes: found })
    },
    undo: () => client.restoreTakePlaces({ takes: before }),
  })
}

/** Imports a file that is not the missing take, with the voice, mic and curve of that. */
export async function importInstead(
  sessionId: number,
  path: string,
  { voiceId, micId, curveId }: Pick<Take, 'voiceId' | 'micId' | 'curveId'>,
): Promise<void> {
  const title = nameOfBackgroundTask({ kind: 'import', files: 1, sessionId })
  const step = beginImportStep(title.charAt(0).toLowerCase() + title.slice(1), sessionId)
  const run = runBackgroundTask(title, ({ signal, onProgress }) =>
    client.importTakes(
      { sessionId, files: [{ path }], voiceId, micId, curveId },
      { signal: AbortSignal.any([signal, step.undone]), onProgress },
    ),
  )
  const outcome = await whileImporting(sessionId, run)
  step.end(outcome?.addedIds ?? [])
  if (outcome !== undefined && !step.undone.aborted) showImportOutcome(sessionId, outcome)
}

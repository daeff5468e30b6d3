// Archives sessions and restores archives in the background.

import type { ArchiveOutcome, RestoreOutcome } from '../../../app/contract/exchange/archive.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { archivedWords, restoredWords } from '../../../app/words/archives.ts'
import { nameOfBackgroundTask } from '../../../app/words/background-tasks.ts'
import { client } from '../../state/connection.ts'
import { remark, runBackgroundTask } from '../../state/notices.ts'
import { goTo } from '../../state/selection.ts'
import { chooseNewSession } from '../choose-new-session.ts'

/** Archives with progress and cancel; a failure becomes a notice. */
export async function archive(songTitle: string, request: InputOf<'archiveSession'>): Promise<void> {
  const title = nameOfBackgroundTask({ kind: 'archive', songTitle })
  const made = await runBackgroundTask(title, (options) => client.archiveSession(request, options))
  if (made !== undefined) showArchiveOutcome(songTitle, made)
}

/** Tells where an archive is; also one that an earlier page started. */
export function showArchiveOutcome(songTitle: string, outcome: ArchiveOutcome): void {
  remark(`${songTitle} archived`, archivedWords(outcome).join(' '))
}

/** Restores with progress and cancel; a failure becomes a notice. */
export async function restore(request: InputOf<'restoreArchive'>): Promise<void> {
  const title = nameOfBackgroundTask({ kind: 'restore', bag: request.bag })
  const restored = await runBackgroundTask(title, (options) => client.restoreArchive(request, options))
  if (restored !== undefined) await showRestoreOutcome(restored)
}

/** Opens a restored session and says whether its stems came out the same. */
export async function showRestoreOutcome(outcome: RestoreOutcome): Promise<void> {
  await chooseNewSession(outcome.sessionId)
  goTo('stack')
  remark('Archive restored', restoredWords(outcome).join(' '))
}

// Archives sessions and restores archives in the background.

import type { ArchiveOutcome, RestoreOutcome } from '../../../app/contract/exchange/archive.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../../app/words/background-tasks.ts'
import { countOf } from '../../../app/words/numbers.ts'
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
export function showArchiveOutcome(
  songTitle: string,
  { bag, takes, stems, newBytes, linkedBytes, copies, remarks }: ArchiveOutcome,
): void {
  remark(
    `${songTitle} archived`,
    [
      `${countOf(takes, 'take')} and ${countOf(stems, 'stem')} in ${bag}: ${megabytes(newBytes)} new, ${megabytes(linkedBytes)} shared with older archives.`,
      `Each take is in at least ${countOf(copies, 'file')} of its own; files that archives share count once, so keep an archive on another disk.`,
      ...remarks,
    ].join(' '),
  )
}

/** Restores with progress and cancel; a failure becomes a notice. */
export async function restore(request: InputOf<'restoreArchive'>): Promise<void> {
  const title = nameOfBackgroundTask({ kind: 'restore', bag: request.bag })
  const restored = await runBackgroundTask(title, (options) => client.restoreArchive(request, options))
  if (restored !== undefined) await showRestoreOutcome(restored)
}

/** Opens a restored session and says whether its stems came out the same. */
export async function showRestoreOutcome({
  sessionId,
  copied,
  there,
  same,
  differing,
}: RestoreOutcome): Promise<void> {
  await chooseNewSession(sessionId)
  goTo('stack')
  remark(
    'Archive restored',
    [
      `${countOf(copied, 'take')} copied, ${there} there already. ${countOf(same.length, 'stem')} rendered to the same bytes.`,
      ...differing.map(({ stem, reason }) => `${stem} differs: ${reason}.`),
    ].join(' '),
  )
}

const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(1)} MB`

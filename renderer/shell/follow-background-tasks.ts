// After a reload: shows progress and outcome of bounces, imports and demo builds that are still
// running or ended while no page was connected, and lets the user cancel them.

import type { BackgroundTask } from '../../app/contract/wire/background-tasks.ts'
import type { BackgroundTaskOutcome } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { showImportOutcome, whileImporting } from '../acts/batch-acts.ts'
import { showBounceOutcome } from '../acts/bounce-acts.ts'
import { reportBrokenSending } from '../acts/broken-sending.ts'
import { showDeliveryOutcome } from '../acts/delivery-acts.ts'
import { showArchiveOutcome, showRestoreOutcome } from '../acts/exchange/archives.ts'
import { client } from '../state/connection.ts'
import { attempt, runBackgroundTask } from '../state/notices.ts'
import { showDemo } from './show-demo.ts'

/** Called once for each page. */
export async function followBackgroundTasks(): Promise<void> {
  reportBrokenSending()
  const tasks = await attempt('Running work could not be listed', () => client.listBackgroundTasks({}))
  for (const task of tasks ?? []) void follow(task)
}

async function follow({ id, subject }: BackgroundTask): Promise<void> {
  const run = runBackgroundTask(nameOfBackgroundTask(subject), (options) =>
    client.followBackgroundTask({ id }, options),
  )
  const ended = await (subject.kind === 'import' ? whileImporting(subject.sessionId, run) : run)
  if (ended === undefined) return
  await show(ended, subject)
}

async function show(ended: BackgroundTaskOutcome, subject: BackgroundTask['subject']): Promise<void> {
  switch (ended.kind) {
    case 'bounce':
      return showBounceOutcome(ended.outcome)
    case 'delivery':
      return showDeliveryOutcome(ended.outcome)
    case 'import':
      return subject.kind === 'import' ? showImportOutcome(subject.sessionId, ended.outcome) : undefined
    case 'demo':
      return showDemo(ended.sessions)
    case 'archive':
      return subject.kind === 'archive' ? showArchiveOutcome(subject.songTitle, ended.outcome) : undefined
    case 'restore':
      return showRestoreOutcome(ended.outcome)
  }
}

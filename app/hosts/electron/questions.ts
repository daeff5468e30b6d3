// Texts of the dialogs that are shown before work would be lost.

import type { MessageBoxOptions } from 'electron'
import type { BackgroundTask, BackgroundTaskSubject } from '../../contract/wire/background-tasks.ts'
import { nameOfBackgroundTask } from '../../words/background-tasks.ts'

/** What the user is about to do. */
export type Leaving = 'close' | 'reload' | 'quit'

/** Button 1 goes on; Escape, Enter and closing the dialog choose button 0, which stays. */
const question = (message: string, detail: string, stay: string, goOn: string): MessageBoxOptions => ({
  type: 'question',
  message,
  detail,
  buttons: [stay, goOn],
  defaultId: 0,
  cancelId: 0,
  noLink: true,
})

/** @param tasks at least one */
export function askAboutRunning(
  tasks: readonly BackgroundTask[],
  leaving: 'close' | 'quit',
): MessageBoxOptions {
  const lines = tasks.map(({ subject, fraction, doing }) => {
    const percent = `${Math.floor(fraction * 100)} %`
    return `${nameOfBackgroundTask(subject)}: ${percent}${doing === '' ? '' : `, ${doing.toLowerCase()}`}.`
  })
  const lost = [...new Set(tasks.map(({ subject }) => WHAT_IS_LOST[subject.kind]))]
  return question(
    leaving === 'quit' ? 'Quit while Takeloft is working?' : 'Close the window while Takeloft is working?',
    [...lines, '', ...lost].join('\n'),
    'Keep working',
    leaving === 'quit' ? 'Quit anyway' : 'Close anyway',
  )
}

const WHAT_IS_LOST: Readonly<Record<BackgroundTaskSubject['kind'], string>> = {
  bounce: 'The bounce would be cancelled, and no stems would be delivered.',
  import: 'The import would be cancelled. Takes that are already imported are kept.',
  demo: 'The demo would be cancelled. It can be built again.',
  archive: 'The archive would be cancelled, and nothing of it would be left.',
  restore:
    'The restore would be cancelled. Takes that are already copied are kept, and restoring again uses them.',
}

export function askAboutUnsaved(leaving: Leaving): MessageBoxOptions {
  const words = {
    close: ['Close without saving?', 'Close without saving'],
    reload: ['Reload without saving?', 'Reload without saving'],
    quit: ['Quit without saving?', 'Quit without saving'],
  }[leaving]
  return question(
    words[0],
    'Chains have changes that are not saved. They would be lost.',
    'Keep editing',
    words[1],
  )
}

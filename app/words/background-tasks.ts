// Names of background tasks, for the window and for the dialogs of the desktop program.

import type { BackgroundTaskSubject } from '../contract/wire/background-tasks.ts'
import { countOf } from './numbers.ts'

/** Name of a background task in a sentence: 'Import of 3 files'. */
export function nameOfBackgroundTask(subject: BackgroundTaskSubject): string {
  switch (subject.kind) {
    case 'bounce':
      return `Bounce of ${subject.songTitle}`
    case 'delivery':
      return `Delivery of ${subject.songTitle}`
    case 'import':
      return `Import of ${countOf(subject.files, 'file')}`
    case 'demo':
      return 'Building the demo'
    case 'archive':
      return `Archive of ${subject.songTitle}`
    case 'restore':
      return 'Restoring an archive'
  }
}

// Handlers of the commands that run as background tasks, and of those that list and follow them.

import { isAbsolute } from 'node:path'
import { Failure } from '../contract/failure.ts'
import type { Handlers } from '../contract/wire/commands.ts'
import { buildDemo } from './demo/build-demo.ts'
import { archiveSession } from './keeping/archive-session.ts'
import { restoreBag } from './keeping/restore-bag.ts'
import type { Workplace } from './workplace.ts'

type LongCommands =
  | 'bounceSession'
  | 'deliver'
  | 'importTakes'
  | 'buildDemo'
  | 'archiveSession'
  | 'restoreArchive'

export function backgroundTaskHandlers(
  workplace: Workplace,
  { bounceSession, deliver, importTakes }: Pick<Handlers, 'bounceSession' | 'deliver' | 'importTakes'>,
): Pick<Handlers, LongCommands | 'listBackgroundTasks' | 'followBackgroundTask'> {
  const { catalogue, folders, backgroundTasks } = workplace
  return {
    async deliver(input, call) {
      refuseRelative(input.folder, folders.bounces)
      const { songTitle } = catalogue.sessions.get(input.sessionId)
      return backgroundTasks.run(
        { kind: 'delivery', songTitle },
        call,
        (context) => deliver(input, context),
        (outcome) => ({ kind: 'delivery', outcome }),
      )
    },
    async bounceSession(input, call) {
      refuseRelative(input.folder, folders.bounces)
      const { songTitle } = catalogue.sessions.get(input.sessionId)
      return backgroundTasks.run(
        { kind: 'bounce', songTitle },
        call,
        (context) => bounceSession(input, context),
        (outcome) => ({ kind: 'bounce', outcome }),
      )
    },
    importTakes: (input, call) =>
      backgroundTasks.run(
        { kind: 'import', files: input.files.length, sessionId: input.sessionId },
        call,
        (context) => importTakes(input, context),
        (outcome) => ({ kind: 'import', outcome }),
      ),
    buildDemo: (_input, call) =>
      backgroundTasks.run(
        { kind: 'demo' },
        call,
        async (context) => ({ sessions: await buildDemo(workplace, context) }),
        ({ sessions }) => ({ kind: 'demo', sessions }),
      ),
    async archiveSession(input, call) {
      refuseRelative(input.folder, folders.archives)
      const { songTitle } = catalogue.sessions.get(input.sessionId)
      return backgroundTasks.run(
        { kind: 'archive', songTitle },
        call,
        (context) => archiveSession(workplace, input, context),
        (outcome) => ({ kind: 'archive', outcome }),
      )
    },
    async restoreArchive({ bag, takesFolder }, call) {
      for (const folder of [bag, takesFolder]) refuseRelative(folder, folders.archives)
      return backgroundTasks.run(
        { kind: 'restore', bag },
        call,
        (context) => restoreBag(workplace, { bag, takes: takesFolder }, context),
        (outcome) => ({ kind: 'restore', outcome }),
      )
    },
    listBackgroundTasks: async () => backgroundTasks.list(),
    followBackgroundTask: async ({ id }, call) => backgroundTasks.follow(id, call),
  }
}

/** A caller over a port has no working directory against which a relative path could be resolved. */
function refuseRelative(folder: string, example: string): void {
  if (isAbsolute(folder)) return
  throw new Failure(
    'invalid-input',
    `${folder} is not a full path; write the folder from the start, as in ${example}.`,
    { folder },
  )
}

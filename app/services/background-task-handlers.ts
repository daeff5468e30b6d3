// Handlers of the commands that run as background tasks, and of those that list and follow them.

import { isAbsolute } from 'node:path'
import { Failure } from '../contract/failure.ts'
import type { Handlers } from '../contract/wire/commands.ts'
import { buildDemo } from './demo/build-demo.ts'
import type { Workplace } from './workplace.ts'

type LongCommands = 'bounceSession' | 'importTakes' | 'buildDemo'

export function backgroundTaskHandlers(
  workplace: Workplace,
  { bounceSession, importTakes }: Pick<Handlers, 'bounceSession' | 'importTakes'>,
): Pick<Handlers, LongCommands | 'listBackgroundTasks' | 'followBackgroundTask'> {
  const { catalogue, folders, backgroundTasks } = workplace
  return {
    async bounceSession(input, call) {
      // A caller over a port has no working directory against which a relative path could be resolved.
      if (!isAbsolute(input.folder)) {
        throw new Failure(
          'invalid-input',
          `${input.folder} is not a full path; write the folder from the start, as in ${folders.bounces}.`,
          { folder: input.folder },
        )
      }
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
    listBackgroundTasks: async () => backgroundTasks.list(),
    followBackgroundTask: async ({ id }, call) => backgroundTasks.follow(id, call),
  }
}

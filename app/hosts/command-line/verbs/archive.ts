// takeloft archive --catalogue FILE --session ID --out DIR

import { resolve } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { Id } from '../../../contract/entities.ts'
import { archiveSession } from '../../../services/keeping/archive-session.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { archivedWords } from '../../../words/archives.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface ArchiveOptions {
  readonly catalogue: string
  readonly session: number
  readonly out: string
  readonly json?: true
}

export function addArchiveVerb(program: Command): void {
  program
    .command('archive')
    .description('archive a session with its takes, stems and history as a bag (BagIt 1.0, RFC 8493)')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--session <id>', 'number of the session', sessionId)
    .requiredOption('--out <dir>', 'folder that will contain the archive; made where it is missing')
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, session, out, json }: ArchiveOptions) => {
      const outcome = await withExistingWorkplace(catalogue, (workplace) =>
        archiveSession(workplace, { sessionId: session, folder: resolve(out) }, createCallContext()),
      )
      for (const sentence of archivedWords(outcome)) say(sentence)
      printResult(json, outcome, [outcome.bag])
    })
}

function sessionId(text: string): number {
  const id = Id.safeParse(Number(text))
  if (!id.success) throw new InvalidArgumentError('a session is a whole number from 1')
  return id.data
}

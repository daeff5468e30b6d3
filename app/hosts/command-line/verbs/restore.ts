// takeloft restore BAG --catalogue FILE --takes DIR

import { resolve } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { HistoryAnswers } from '../../../contract/exchange/merge.ts'
import { restoreBag } from '../../../services/keeping/restore-bag.ts'
import { withWorkplace } from '../../../services/with-workplace.ts'
import { restoredWords } from '../../../words/archives.ts'
import { DIFFERS } from '../exit-status.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface RestoreOptions {
  readonly catalogue: string
  readonly takes: string
  readonly artist: HistoryAnswers
  readonly json?: true
}

export function addRestoreVerb(program: Command): void {
  program
    .command('restore')
    .argument('<bag>', 'folder of an archive')
    .description('restore the session of an archive into a catalogue; nothing is overwritten')
    .requiredOption('--catalogue <file>', 'the catalogue; made where it is missing')
    .requiredOption('--takes <dir>', 'folder for the takes; made where it is missing')
    .option(
      '--artist <uuid=id>',
      'an artist of the archive is the artist with that number here, or is another one: uuid=new; may be repeated',
      answer,
      [],
    )
    .option('--json', 'print one JSON document')
    .action(async (bag: string, { catalogue, takes, artist, json }: RestoreOptions) => {
      const outcome = await withWorkplace(catalogue, (workplace) =>
        restoreBag(
          workplace,
          { bag: resolve(bag), takes: resolve(takes), answers: artist },
          createCallContext(),
        ),
      )
      const { sessionId, differing } = outcome
      for (const sentence of restoredWords({ ...outcome, differing: [] })) say(sentence)
      printResult(json, outcome, [
        `session ${sessionId}`,
        ...differing.map(({ stem, reason }) => `differing  ${stem}: ${reason}`),
      ])
      if (differing.length > 0) process.exitCode = DIFFERS
    })
}

function answer(text: string, before: HistoryAnswers): HistoryAnswers {
  const [artist, same] = text.split('=')
  const answers = HistoryAnswers.safeParse([
    ...before,
    { artist, same: same === 'new' ? null : Number(same) },
  ])
  if (!answers.success)
    throw new InvalidArgumentError('an answer is the UUID of the artist, =, and a number or new')
  return answers.data
}

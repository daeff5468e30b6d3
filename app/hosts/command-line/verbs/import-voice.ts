// takeloft import-voice --catalogue FILE FILE

import { type Command, InvalidArgumentError } from 'commander'
import { HistoryAnswers } from '../../../contract/exchange/merge.ts'
import { Failure } from '../../../contract/failure.ts'
import { importVoice } from '../../../services/history/voice-exchange.ts'
import { withWorkplace } from '../../../services/with-workplace.ts'
import { addedWords, conflictWords } from '../../../words/history.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface ImportOptions {
  readonly catalogue: string
  readonly artist: HistoryAnswers
  readonly json?: true
}

export function addImportVoiceVerb(program: Command): void {
  program
    .command('import-voice')
    .argument('<file>', 'a history that export-voice wrote')
    .description('merge the history of a voice from another computer; nothing here is overwritten')
    .requiredOption('--catalogue <file>', 'the catalogue; made where it is missing')
    .option(
      '--artist <uuid=id>',
      'an artist of the file is the artist with that number here, or is another one: uuid=new; may be repeated',
      answer,
      [],
    )
    .option('--json', 'print one JSON document')
    .action(async (file: string, { catalogue, artist, json }: ImportOptions) => {
      const context = createCallContext()
      const merged = await withWorkplace(catalogue, (workplace) => {
        context.report(0, 'Merging the history')
        return importVoice(workplace, file, artist).catch(sayHowToAnswer)
      })
      const { added, changed, conflicts, voices } = merged
      printResult(json, { voices, added, changed, conflicts }, [
        `added    ${addedWords(added)}`,
        ...(changed.length === 0 ? [] : [`changed  ${addedWords(changed)}`]),
        ...conflicts.map((conflict) => `differs  ${conflictWords(conflict)}`),
      ])
    })
}

/** A question about an artist is answered on the command line by calling again. */
function sayHowToAnswer(error: unknown): never {
  const artist = error instanceof Failure ? error.details.artist : undefined
  if (typeof artist === 'string') {
    say(
      `Call again with --artist ${artist}=NUMBER for the same person, or --artist ${artist}=new for another.`,
    )
  }
  throw error
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

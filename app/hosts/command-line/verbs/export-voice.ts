// takeloft export-voice --catalogue FILE --voice ID --out FILE

import { type Command, InvalidArgumentError } from 'commander'
import { Id } from '../../../contract/entities.ts'
import { exportVoice } from '../../../services/history/voice-exchange.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { createCallContext, printResult } from '../talk.ts'

interface ExportOptions {
  readonly catalogue: string
  readonly voice: number
  readonly out: string
  readonly json?: true
}

export function addExportVoiceVerb(program: Command): void {
  program
    .command('export-voice')
    .description('write the history of a voice to a file for another computer, without sound')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--voice <id>', 'number of the voice', voiceId)
    .requiredOption('--out <file>', 'the new file')
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, voice, out, json }: ExportOptions) => {
      const context = createCallContext()
      const written = await withExistingWorkplace(catalogue, (workplace) => {
        context.report(0, 'Collecting the history')
        return exportVoice(workplace, voice, out)
      })
      printResult(json, written, [written.file])
    })
}

function voiceId(text: string): number {
  const id = Id.safeParse(Number(text))
  if (!id.success) throw new InvalidArgumentError('a voice is a whole number from 1')
  return id.data
}

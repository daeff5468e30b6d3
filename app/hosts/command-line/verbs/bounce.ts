// takeloft bounce --catalogue FILE --session ID --out DIR

import { resolve } from 'node:path'
import { type Command, InvalidArgumentError, Option } from 'commander'
import { Id } from '../../../contract/entities.ts'
import { type StemEncoding, StemEncoding as StemEncodings } from '../../../contract/wire/commands.ts'
import { bounceSession } from '../../../services/bounces/bounce.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { type RangeOptions, rangeOf, withRangeOptions } from '../range-options.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface BounceOptions extends RangeOptions {
  readonly catalogue: string
  readonly session: number
  readonly out: string
  readonly encoding: StemEncoding
  readonly layers?: true
  readonly json?: true
}

export function addBounceVerb(program: Command): void {
  const command = program
    .command('bounce')
    .description('render the stems of a session and their manifest')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--session <id>', 'number of the session', sessionId)
    .requiredOption('--out <dir>', 'folder for the stems; made where it is missing')
    .addOption(
      new Option('--encoding <words>', 'encoding of the stems')
        .choices(StemEncodings.options)
        .default('pcm-24'),
    )
    .option('--layers', 'also write a stem for each layer')
  withRangeOptions(command)
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, session, out, encoding, layers, json, ...range }: BounceOptions) => {
      const outcome = await withExistingWorkplace(catalogue, (workplace) =>
        bounceSession(
          workplace,
          {
            ...{ sessionId: session, folder: resolve(out), encoding, layerStems: layers === true },
            range: rangeOf(workplace, session, range),
          },
          createCallContext(),
        ),
      )
      for (const remark of outcome.remarks) say(remark)
      printResult(json, outcome, [...outcome.stems.map((stem) => stem.path), outcome.manifest])
    })
}

function sessionId(text: string): number {
  const id = Id.safeParse(Number(text))
  if (!id.success) throw new InvalidArgumentError('a session is a whole number from 1')
  return id.data
}

// takeloft deliver --catalogue FILE --session ID --out DIR

import { resolve } from 'node:path'
import { type Command, InvalidArgumentError, Option } from 'commander'
import { sentenceOf } from '../../../contract/chain-document.ts'
import {
  DELIVERY_RATES_HZ,
  DeliveryEncoding,
  DeliveryRequest,
} from '../../../contract/delivery/delivery-request.ts'
import { DEFAULT_TEMPLATE, NAME_TOKENS } from '../../../contract/delivery/name-template.ts'
import { Id } from '../../../contract/entities.ts'
import { Failure } from '../../../contract/failure.ts'
import { deliverSession } from '../../../services/deliveries/deliver.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { deliveryChangesWords } from '../../../words/deliveries.ts'
import { type RangeOptions, rangeOf, withRangeOptions } from '../range-options.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface DeliverOptions extends RangeOptions {
  readonly catalogue: string
  readonly session: number
  readonly out: string
  readonly rate?: string
  readonly depth: DeliveryEncoding
  readonly template: string
  readonly groups: boolean
  readonly layers?: true
  readonly raw: boolean
  readonly aligned: boolean
  readonly reference: boolean
  readonly json?: true
}

export function addDeliverVerb(program: Command): void {
  const command = program
    .command('deliver')
    .description('everything that goes to the mix, as the next version in a folder of its own')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--session <id>', 'number of the session', idOf)
    .requiredOption('--out <dir>', 'folder in which the folder of the delivery is made')
    .addOption(
      new Option('--rate <hz>', "rate of rendered files; the session's if left out").choices(
        DELIVERY_RATES_HZ.map(String),
      ),
    )
    .addOption(
      new Option('--depth <words>', 'encoding of rendered files')
        .choices(DeliveryEncoding.options)
        .default('pcm-24'),
    )
    .option(
      '--template <text>',
      `names of files, with ${NAME_TOKENS.map((one) => `{${one}}`).join(' ')}`,
      DEFAULT_TEMPLATE,
    )
  withRangeOptions(command)
    .option('--layers', 'also write a stem for each layer')
    .option('--no-groups', 'leave out the stems of groups')
    .option('--no-raw', 'leave out the takes as recorded')
    .option('--no-aligned', 'leave out the unprocessed takes at their places')
    .option('--no-reference', 'leave out the reference of the stack')
    .option('--json', 'print one JSON document')
    .action(async (options: DeliverOptions) => {
      const request = requestOf(options)
      const outcome = await withExistingWorkplace(options.catalogue, (workplace) =>
        deliverSession(
          workplace,
          {
            ...{ ...request, folder: resolve(options.out) },
            range: rangeOf(workplace, options.session, options),
          },
          createCallContext(),
        ),
      )
      for (const remark of outcome.remarks) say(remark)
      say(`Delivery ${outcome.number}, ${deliveryChangesWords(outcome.number, outcome.changes)}.`)
      printResult(options.json, outcome, [outcome.folder, ...outcome.files.map(({ path }) => `  ${path}`)])
    })
}

/** @throws Failure `invalid-input` */
function requestOf(options: DeliverOptions): DeliveryRequest {
  const { groups, layers, raw, aligned, reference } = options
  const parsed = DeliveryRequest.safeParse({
    sessionId: options.session,
    sampleRateHz: options.rate === undefined ? null : Number(options.rate),
    encoding: options.depth,
    template: options.template,
    contents: { groups, layers: layers === true, raw, aligned, reference },
  })
  if (parsed.success) return parsed.data
  throw new Failure('invalid-input', `The delivery cannot be made: ${sentenceOf(parsed.error)}.`)
}

function idOf(text: string): number {
  const id = Id.safeParse(Number(text))
  if (!id.success) throw new InvalidArgumentError('it is a whole number from 1')
  return id.data
}

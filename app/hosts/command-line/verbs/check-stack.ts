// takeloft check-stack --catalogue FILE --session ID [--from S] [--to S] [--section NAME]

import { type Command, InvalidArgumentError } from 'commander'
import { Id } from '../../../contract/entities.ts'
import type { StackCheck } from '../../../contract/stack-check/stack-check.ts'
import { checkSession } from '../../../services/sessions/check-stack.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { stackFindingWords, stackSuggestionWords } from '../../../words/stack-findings.ts'
import { type RangeOptions, rangeOf, withRangeOptions } from '../range-options.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

interface CheckStackOptions extends RangeOptions {
  readonly catalogue: string
  readonly session: number
  readonly json?: true
}

export function addCheckStackVerb(program: Command): void {
  const command = program
    .command('check-stack')
    .description('what builds up in the processed stack over its lead, when, and through which layer')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--session <id>', 'number of the session', idOf)
  withRangeOptions(command, true)
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, session, json, ...range }: CheckStackOptions) => {
      const check = await withExistingWorkplace(catalogue, (workplace) =>
        checkSession(workplace, session, rangeOf(workplace, session, range, true), createCallContext()),
      )
      for (const remark of check.remarks) say(remark)
      printResult(json, check, linesOf(check))
    })
}

function linesOf(check: StackCheck): string[] {
  const nameOf = (layerId: number): string =>
    check.layers.find((layer) => layer.layerId === layerId)?.name ?? `layer ${layerId}`
  const bands = check.bands.map(({ hz, buildUpDb, shares }) => {
    const greatest = shares.toSorted((a, b) => b.share - a.share).slice(0, SHARES_PRINTED)
    const named = greatest.map(({ layerId, share }) => `${nameOf(layerId)} ${Math.round(100 * share)} %`)
    return `${`${hz} Hz`.padStart(9)}  ${inWords(buildUpDb, 'dB').padStart(9)}  ${named.join(', ')}`
  })
  const findings = check.findings.flatMap((finding) => [
    `${finding.fromS.toFixed(2)} to ${finding.toS.toFixed(2)} s  ${stackFindingWords(finding, nameOf)}`,
    ...(finding.suggestion === null ? [] : [`    ${stackSuggestionWords(finding.suggestion, nameOf)}`]),
  ])
  return [
    'The stack over its lead, with the greatest shares',
    ...bands,
    '',
    ...(findings.length === 0 ? ['Nothing was found.'] : findings),
  ]
}

const SHARES_PRINTED = 3

function idOf(text: string): number {
  const id = Id.safeParse(Number(text))
  if (!id.success) throw new InvalidArgumentError('it is a whole number from 1')
  return id.data
}

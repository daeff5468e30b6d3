// takeloft check-stack --catalogue FILE --session ID [--from S --to S | --section ID]

import { type Command, InvalidArgumentError } from 'commander'
import { Id } from '../../../contract/entities.ts'
import { Failure } from '../../../contract/failure.ts'
import { type StackCheck, StackCheckRange } from '../../../contract/stack-check/stack-check.ts'
import { checkSession } from '../../../services/sessions/check-stack.ts'
import { withExistingWorkplace } from '../../../services/with-workplace.ts'
import { stackFindingWords, stackSuggestionWords } from '../../../words/stack-findings.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

interface CheckStackOptions {
  readonly catalogue: string
  readonly session: number
  readonly from?: number
  readonly to?: number
  readonly section?: number
  readonly json?: true
}

export function addCheckStackVerb(program: Command): void {
  program
    .command('check-stack')
    .description('what builds up in the processed stack over its lead, when, and through which layer')
    .requiredOption('--catalogue <file>', 'the catalogue')
    .requiredOption('--session <id>', 'number of the session', idOf)
    .option(
      '--from <seconds>',
      'start of the range in the session; the start of the song if left out',
      secondsOf,
    )
    .option('--to <seconds>', 'end of the range; the end of the song if left out', secondsOf)
    .option('--section <id>', 'a section of the song in place of a range', idOf)
    .option('--json', 'print one JSON document')
    .action(async (options: CheckStackOptions) => {
      const range = rangeOf(options)
      const check = await withExistingWorkplace(options.catalogue, (workplace) =>
        checkSession(workplace, options.session, range, createCallContext()),
      )
      for (const remark of check.remarks) say(remark)
      printResult(options.json, check, linesOf(check))
    })
}

/** @throws Failure `invalid-input` */
function rangeOf({ from, to, section }: CheckStackOptions): StackCheckRange {
  if (section !== undefined && (from !== undefined || to !== undefined)) {
    throw new Failure('invalid-input', 'Name a section or a range with --from and --to, not both.')
  }
  const range =
    section !== undefined
      ? { kind: 'section', sectionId: section }
      : from === undefined && to === undefined
        ? { kind: 'song' }
        : { kind: 'seconds', fromS: from ?? null, toS: to ?? null }
  return StackCheckRange.parse(range)
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

function secondsOf(text: string): number {
  const seconds = Number(text)
  if (text.trim() === '' || !Number.isFinite(seconds) || Math.abs(seconds) > 1e9) {
    throw new InvalidArgumentError('it is a number of seconds')
  }
  return seconds
}

// takeloft repair IN OUT [--clicks] [--pops] [--clipped] [--hum] [--breaths DB] [--removed FILE]

import { type Command, InvalidArgumentError } from 'commander'
import type { Repair, RepairReport } from '../../../contract/repairs/repair-report.ts'
import { repairFile } from '../../../services/single-files/repair-file.ts'
import { countOf } from '../../../words/numbers.ts'
import { refusalWords, repairWords } from '../../../words/repairs.ts'
import { createCallContext, printResult, say } from '../talk.ts'

interface RepairOptions {
  readonly clicks?: true
  readonly pops?: true
  readonly clipped?: true
  readonly hum?: true
  readonly breaths?: number
  readonly removed?: string
  readonly json?: true
}

const WITHOUT_OPTION = ['clipped', 'clicks', 'pops', 'hum'] as const
const MOST_BREATH_DB = 60

export function addRepairVerb(program: Command): void {
  program
    .command('repair')
    .argument('<in>', 'the take, which is only read')
    .argument('<out>', 'the WAV file to write')
    .description(
      'mend clicks, pops, clipped peaks, hum and breaths of one file; without an option all but breaths',
    )
    .option('--clicks', 'fill clicks from the sound around them')
    .option('--pops', 'take away what lies below the voice in plosive pops')
    .option('--clipped', 'restore clipped peaks')
    .option('--hum', 'subtract the hum of the mains')
    .option('--breaths <dB>', 'turn breaths down, by this much at most', breathDbOf)
    .option('--removed <file>', 'write what was taken away; added to <out> it is <in>')
    .option('--json', 'print one JSON document')
    .addHelpText(
      'after',
      '\nThe result has the rate and depth of the take; 32-bit floats where a restored peak is beyond full scale.\nWhat cannot be mended is named and left alone.',
    )
    .action(async (from: string, to: string, options: RepairOptions) => {
      const named = [
        ...WITHOUT_OPTION.filter((kind) => options[kind]),
        ...(options.breaths ? (['breaths'] as const) : []),
      ]
      const { remarks, ...report } = await repairFile(
        {
          ...{ from, to, removed: options.removed, breathsDb: options.breaths ?? 0 },
          kinds: new Set(named.length > 0 ? named : WITHOUT_OPTION),
          isExplicit: named.length > 0,
        },
        createCallContext(),
      )
      for (const remark of remarks) say(remark)
      for (const refused of report.refused) say(refusalWords(refused))
      const document = { out: to, removed: options.removed ?? null, ...report, remarks }
      printResult(options.json, document, linesOf(to, report))
    })
}

function linesOf(to: string, report: RepairReport): string[] {
  const repairs: readonly Repair[] = report.repairs
  return [
    `${to}: ${countOf(report.frames, 'frame')}, ${report.encoding}`,
    ...(repairs.length === 0
      ? ['  Nothing was mended.']
      : repairs.map((repair) => `  ${repairWords(repair)}`)),
  ]
}

function breathDbOf(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !(value > 0 && value <= MOST_BREATH_DB)) {
    throw new InvalidArgumentError(`it is a number of dB above 0, up to ${MOST_BREATH_DB}`)
  }
  return value
}

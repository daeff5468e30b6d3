// takeloft align GUIDE FILE OUT [--tightness 0..1]

import { type Command, InvalidArgumentError } from 'commander'
import type { Alignment } from '../../../contract/phrases/alignment.ts'
import { alignFile } from '../../../services/single-files/align-file.ts'
import { leftWords } from '../../../words/phrases.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

interface AlignOptions {
  readonly tightness: number
  readonly json?: true
}

export function addAlignVerb(program: Command): void {
  program
    .command('align')
    .argument('<guide>', 'the take to move onto, such as the lead')
    .argument('<file>', 'the take that is moved, such as a double; it is only read')
    .argument('<out>', 'the WAV file to write, of the same rate and depth')
    .description('a take moved onto a guide, phrase by phrase, in the pauses')
    .option('--tightness <share>', 'how much of its offset each phrase loses, 0 to 1', shareOf, 0.7)
    .option('--json', 'print one JSON document')
    .addHelpText(
      'after',
      '\nBoth are taken to begin at the same moment. Phrases are moved as they are: their samples stay the same, and joins\nare made in pauses only. What cannot be told, or would not come closer, is left where it is.',
    )
    .action(async (guide: string, file: string, out: string, { tightness, json }: AlignOptions) => {
      const aligned = await alignFile({ guide, file, out, tightness }, createCallContext())
      for (const remark of aligned.remarks) say(remark)
      printResult(json, aligned, linesOf(aligned))
    })
}

function linesOf({ out, phrases }: Alignment): string[] {
  const moved = phrases.filter(({ left }) => left === null).length
  return [
    `${out}: ${moved} of ${phrases.length} phrases moved`,
    ...phrases.map(({ fromS, toS, offsetMs, movedMs, leftMs, left }) => {
      const what =
        left === null
          ? `${inWords(offsetMs, 'ms')} from the guide, moved by ${inWords(movedMs, 'ms')}, ${inWords(leftMs, 'ms')} left`
          : `${offsetMs === null ? '' : `${inWords(offsetMs, 'ms')} from the guide, `}${leftWords(left)}`
      return `  ${fromS.toFixed(2).padStart(8)} to ${toS.toFixed(2).padStart(8)} s  ${what}`
    }),
  ]
}

function shareOf(text: string): number {
  const share = Number(text)
  if (text.trim() === '' || !(share >= 0 && share <= 1)) {
    throw new InvalidArgumentError('it is a number from 0 to 1')
  }
  return share
}

// takeloft phrases GUIDE [FILE…]

import type { Command } from 'commander'
import type { PhraseMap } from '../../../contract/phrases/phrase-map.ts'
import { findPhrasesOf } from '../../../services/single-files/find-phrases.ts'
import { countOf } from '../../../words/numbers.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

export function addPhrasesVerb(program: Command): void {
  program
    .command('phrases')
    .argument('<guide>', 'the take whose lines are looked for, such as the lead')
    .argument('[files...]', 'other takes of the same lines')
    .description('phrases of each file, and which phrase of which file is which of the guide')
    .option('--json', 'print one JSON document')
    .addHelpText(
      'after',
      '\nTimes count from the beginning of each file. An offset is positive where a file is later than the guide.\nWhat cannot be told is left out: a line may be missing although it was sung, but no line is guessed.',
    )
    .action(async (guide: string, files: string[], { json }: { json?: true }) => {
      const map = await findPhrasesOf(guide, files, createCallContext())
      for (const remark of map.remarks) say(remark)
      printResult(json, map, linesOf(map))
    })
}

function linesOf({ files, matches, missing, extra }: PhraseMap): string[] {
  return files.flatMap(({ file, phrases }, i) => [
    `${file}: ${countOf(phrases.length, 'phrase')}`,
    ...phrases.map(({ id, fromS, toS, loudnessLufs }) => {
      const match = matches.find((one) => i > 0 && one.file === file && one.phrase === id)
      const isExtra = extra.some((one) => i > 0 && one.file === file && one.phrase === id)
      const what =
        match === undefined
          ? isExtra
            ? '  no line of the guide'
            : ''
          : `  line ${match.guidePhrase}, ${inWords(match.offsetMs, 'ms')} from the guide, confidence ${match.confidence.toFixed(2)}`
      return `${`${id}`.padStart(5)}  ${fromS.toFixed(2).padStart(8)} to ${toS.toFixed(2).padStart(8)} s  ${inWords(loudnessLufs, 'LUFS').padStart(11)}${what}`
    }),
    ...missing
      .filter((one) => i > 0 && one.file === file)
      .map(({ guidePhrase }) => `       line ${guidePhrase} was not found`),
  ])
}

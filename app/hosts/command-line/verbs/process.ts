// takeloft process IN OUT --chain CHAIN.json

import { type Command, Option } from 'commander'
import { STEM_ENCODINGS } from '../../../contract/stem-encoding.ts'
import type { StemEncoding } from '../../../contract/wire/commands.ts'
import { processFile } from '../../../services/single-files/process-file.ts'
import { EQUAL_LOUDNESS } from '../../../words/equal-loudness.ts'
import { countOf } from '../../../words/numbers.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

interface ProcessOptions {
  readonly chain: string
  readonly micCurve?: string
  readonly targetCurve?: string
  readonly encoding: StemEncoding
  readonly json?: true
}

export function addProcessVerb(program: Command): void {
  program
    .command('process')
    .argument('<in>', 'the take, which is only read')
    .argument('<out>', 'the WAV file to write')
    .description('process one file through a chain')
    .requiredOption('--chain <file>', 'chain file, JSON')
    .option('--mic-curve <csv>', "curve of the take's mic, for a mic-correction stage")
    .option('--target-curve <csv>', 'curve to correct to; flat if left out')
    .addOption(
      new Option('--encoding <words>', 'encoding of the written file')
        .choices([...STEM_ENCODINGS])
        .default('pcm-24'),
    )
    .option('--json', 'print one JSON document')
    .addHelpText(
      'after',
      `\nLevels in and out are RMS over the whole file, and not loudness. ${EQUAL_LOUDNESS}\nThe window compares dry and processed that way.`,
    )
    .action(async (from: string, to: string, options: ProcessOptions) => {
      const done = await processFile(
        {
          from,
          to,
          chainPath: options.chain,
          micCurvePath: options.micCurve,
          targetCurvePath: options.targetCurve,
          encoding: options.encoding,
        },
        createCallContext(),
      )
      for (const remark of done.remarks) say(remark)
      if (done.clippedSamples > 0) {
        say(
          `${countOf(done.clippedSamples, 'sample')} did not fit and ${done.clippedSamples === 1 ? 'was' : 'were'} held at full scale; end the chain in a ceiling, or write float-32.`,
        )
      }
      printResult(options.json, { out: to, ...done }, [
        `${to}: ${countOf(done.frames, 'frame')}`,
        ...done.stages.map(
          (stage) =>
            `  ${stage.kind.padEnd(15)} in ${inWords(stage.levelInDbfs, 'dBFS')}, out ${inWords(stage.levelOutDbfs, 'dBFS')}, reduction up to ${inWords(stage.maxReductionDb, 'dB')}`,
        ),
      ])
    })
}

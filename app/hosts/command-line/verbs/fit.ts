// takeloft fit --source A.csv --target B.csv

import type { Command } from 'commander'
import { createCorrectionFitter } from '../../../services/correction-fitter.ts'
import { fitCurveFiles } from '../../../services/file-acts.ts'
import { printResult, say } from '../talk.ts'

export function addFitVerb(program: Command): void {
  program
    .command('fit')
    .description('the correction from mic A to curve B, as equaliser bands')
    .requiredOption('--source <csv>', "the mic's curve: frequency and level on each line")
    .requiredOption('--target <csv>', 'the curve to reach')
    .option('--json', 'print one JSON document')
    .action(({ source, target, json }: { source: string; target: string; json?: true }) => {
      const { fit, remarks } = fitCurveFiles(createCorrectionFitter(), source, target)
      for (const remark of remarks) say(remark)
      const { bands, rmsErrorDb, maxErrorDb } = fit
      printResult(json, { bands, rmsErrorDb, maxErrorDb }, [
        ...bands.map(
          (band) =>
            `${band.shape.padEnd(10)} ${band.frequencyHz.toFixed(0).padStart(6)} Hz  ${band.gainDb.toFixed(2).padStart(6)} dB  Q ${band.q.toFixed(2)}`,
        ),
        `error ${rmsErrorDb.toFixed(2)} dB RMS, at most ${maxErrorDb.toFixed(2)} dB`,
        'On-axis level at one distance only: the spread of units, proximity and off-axis sound are not in a curve.',
      ])
    })
}

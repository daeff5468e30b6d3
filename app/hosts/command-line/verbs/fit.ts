// takeloft fit --source A.csv --target B.csv

import { type Command, InvalidArgumentError } from 'commander'
import { MicCorrectionAims } from '../../../contract/chain-document.ts'
import { createCorrectionFitter } from '../../../services/mics/correction-fitter.ts'
import { fitCurveFiles } from '../../../services/mics/fit-curve-files.ts'
import { printResult, say } from '../talk.ts'

interface FitOptions {
  readonly source: string
  readonly target: string
  readonly amount?: number
  readonly maxBoost?: number
  readonly maxCut?: number
  readonly maxBands?: number
  readonly json?: true
}

export function addFitVerb(program: Command): void {
  program
    .command('fit')
    .description('fit the correction from mic A to curve B as equaliser bands')
    .requiredOption('--source <csv>', "the mic's curve: frequency and level on each line")
    .requiredOption('--target <csv>', 'the curve to reach')
    .option('--amount <percent>', 'share of the difference to correct', limitOf('amountPercent'))
    .option('--max-boost <db>', 'maximum boost in dB', limitOf('maxBoostDb'))
    .option('--max-cut <db>', 'maximum cut in dB', limitOf('maxCutDb'))
    .option('--max-bands <count>', 'maximum number of bands, shelves included', limitOf('maxBands'))
    .option('--json', 'print one JSON document')
    .action(({ source, target, json, ...asked }: FitOptions) => {
      const { fit, remarks } = fitCurveFiles(createCorrectionFitter(), source, target, limitsOf(asked))
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

/** Parser of a number within the range of the stage's setting. */
function limitOf(setting: 'amountPercent' | 'maxBoostDb' | 'maxCutDb' | 'maxBands') {
  const schema = MicCorrectionAims.shape[setting]
  return (text: string): number => {
    const parsed = schema.safeParse(text.trim() === '' ? Number.NaN : Number(text))
    if (parsed.success) return parsed.data
    const kind = setting === 'maxBands' ? 'a whole number' : 'a number'
    throw new InvalidArgumentError(`It must be ${kind} from ${schema.minValue} to ${schema.maxValue}.`)
  }
}

const limitsOf = ({ amount, maxBoost, maxCut, maxBands }: Partial<FitOptions>) => ({
  ...(amount === undefined ? {} : { amountPercent: amount }),
  ...(maxBoost === undefined ? {} : { maxBoostDb: maxBoost }),
  ...(maxCut === undefined ? {} : { maxCutDb: maxCut }),
  ...(maxBands === undefined ? {} : { maxBands }),
})

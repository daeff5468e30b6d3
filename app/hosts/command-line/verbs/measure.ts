// takeloft measure FILE

import type { Command } from 'commander'
import type { Finding } from '../../../contract/take-facts.ts'
import { measureFile, measureFileLevels } from '../../../services/single-files/measure-file.ts'
import { counted, createCallContext, inWords, printResult, say } from '../talk.ts'

export function addMeasureVerb(program: Command): void {
  program
    .command('measure')
    .argument('<file>', 'a recording: WAV, RF64, BW64, AIFF or FLAC')
    .description("a take's facts: hash, format, loudness, peaks, findings")
    .option('--levels-only', 'loudness and peaks, without the check of the take and its voice')
    .option('--json', 'print one JSON document')
    .action(async (file: string, { json, levelsOnly }: { json?: true; levelsOnly?: true }) => {
      const facts = await (levelsOnly ? measureFileLevels : measureFile)(file, createCallContext())
      for (const remark of facts.remarks) say(remark)
      printResult(json, facts, [
        file,
        `  SHA-256           ${facts.sha256}`,
        `  format            ${facts.container}, ${facts.encoding}, ${facts.sampleRateHz} Hz, ${facts.channels} ch`,
        `  length            ${(facts.frames / facts.sampleRateHz).toFixed(3)} s (${counted(facts.frames, 'frame')})`,
        `  integrated        ${inWords(facts.integratedLufs, 'LUFS')}`,
        `  loudness range    ${inWords(facts.loudnessRangeLu, 'LU')}`,
        `  max momentary     ${inWords(facts.maxMomentaryLufs, 'LUFS')}`,
        `  max short-term    ${inWords(facts.maxShortTermLufs, 'LUFS')}`,
        `  true peak         ${inWords(facts.truePeakDbtp, 'dBTP')}`,
        `  sample peak       ${inWords(facts.samplePeakDbfs, 'dBFS')}`,
        `  DC offset         ${facts.dcOffset.toExponential(2)} of full scale`,
        ...facts.findings.flatMap(findingLines),
      ])
    })
}

const MOMENTS_PRINTED = 6

/** What was found with its figure, where, what it means and what to do. */
function findingLines({ kind, value, unit, atSeconds, meaning, remedy }: Finding): string[] {
  const moments = atSeconds.slice(0, MOMENTS_PRINTED).map((seconds) => seconds.toFixed(2))
  const more = atSeconds.length > MOMENTS_PRINTED ? ' and later' : ''
  const where = moments.length === 0 ? '' : `, at ${moments.join(', ')}${more} s`
  return [
    `  finding           ${kind.replaceAll('-', ' ')} (${Number(value.toPrecision(4))} ${unit}${where})`,
    `                    ${meaning} ${remedy}`,
  ]
}

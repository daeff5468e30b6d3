// takeloft measure FILE

import type { Command } from 'commander'
import type { Finding } from '../../../contract/finding.ts'
import { measureFile, measureFileLevels } from '../../../services/single-files/measure-file.ts'
import { findingFigure, findingName, findingWords } from '../../../words/findings.ts'
import { countOf } from '../../../words/numbers.ts'
import { createCallContext, inWords, printResult, say } from '../talk.ts'

export function addMeasureVerb(program: Command): void {
  program
    .command('measure')
    .argument('<file>', 'a recording: WAV, RF64, BW64, AIFF or FLAC')
    .description('measure a take: hash, format, loudness, peaks, findings')
    .option('--levels-only', 'measure loudness and peaks only, without checking the take and its voice')
    .option('--json', 'print one JSON document')
    .action(async (file: string, { json, levelsOnly }: { json?: true; levelsOnly?: true }) => {
      const facts = await (levelsOnly ? measureFileLevels : measureFile)(file, createCallContext())
      const findings = facts.findings.map((finding) => ({ ...finding, ...findingWords(finding) }))
      for (const remark of facts.remarks) say(remark)
      printResult(json, { ...facts, findings }, [
        file,
        `  SHA-256           ${facts.sha256}`,
        `  format            ${facts.container}, ${facts.encoding}, ${facts.sampleRateHz} Hz, ${facts.channels} ch`,
        `  length            ${(facts.frames / facts.sampleRateHz).toFixed(3)} s (${countOf(facts.frames, 'frame')})`,
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

/** A finding with its figure and places, its meaning and its remedy. */
function findingLines(finding: Finding): string[] {
  const { kind, atSeconds } = finding
  const { meaning, remedy } = findingWords(finding)
  const moments = atSeconds.slice(0, MOMENTS_PRINTED).map((seconds) => seconds.toFixed(2))
  const more = atSeconds.length > MOMENTS_PRINTED ? ' and later' : ''
  const where = moments.length === 0 ? '' : `, at ${moments.join(', ')}${more} s`
  return [
    `  finding           ${findingName(kind)} (${findingFigure(finding)}${where})`,
    `                    ${meaning} ${remedy}`,
  ]
}

// takeloft measure FILE

import type { Command } from 'commander'
import { measureFile } from '../../../services/file-acts.ts'
import { withPool } from '../../../services/with-pool.ts'
import { createCallContext, inWords, printResult } from '../talk.ts'

export function addMeasureVerb(program: Command): void {
  program
    .command('measure')
    .argument('<file>', 'a recording: WAV, RF64, BW64, AIFF or FLAC')
    .description("a take's facts: hash, format, loudness, peaks, findings")
    .option('--json', 'print one JSON document')
    .action(async (file: string, { json }: { json?: true }) => {
      const facts = await withPool((pool) => measureFile(pool, file, createCallContext()))
      printResult(json, facts, [
        file,
        `  SHA-256           ${facts.sha256}`,
        `  format            ${facts.container}, ${facts.encoding}, ${facts.sampleRateHz} Hz, ${facts.channels} ch`,
        `  length            ${(facts.frames / facts.sampleRateHz).toFixed(3)} s (${facts.frames} frames)`,
        `  integrated        ${inWords(facts.integratedLufs, 'LUFS')}`,
        `  loudness range    ${inWords(facts.loudnessRangeLu, 'LU')}`,
        `  max momentary     ${inWords(facts.maxMomentaryLufs, 'LUFS')}`,
        `  max short-term    ${inWords(facts.maxShortTermLufs, 'LUFS')}`,
        `  true peak         ${inWords(facts.truePeakDbtp, 'dBTP')}`,
        `  sample peak       ${inWords(facts.samplePeakDbfs, 'dBFS')}`,
        `  DC offset         ${facts.dcOffset.toExponential(2)} of full scale`,
        ...facts.findings.map((finding) => `  finding           ${finding.meaning} ${finding.remedy}`),
      ])
    })
}

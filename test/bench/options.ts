// What a call of the benchmark asks for.

import { parseArgs } from 'node:util'

export const SECTION_IDS = [
  'S1',
  'S2',
  'S3',
  'check',
  'S4',
  'S4-600',
  'S5',
  'S6',
  'S7',
  'S7-64',
  'S8',
  'import',
  'layers',
  'passages',
  'joints',
  'song',
  'stack-check',
  'relocate',
  'stages',
  'profile',
] as const
export type SectionId = (typeof SECTION_IDS)[number]

export interface BenchOptions {
  readonly only: readonly SectionId[]
  /** How often each contestant runs; the first, uncounted run of each comes on top. */
  readonly rounds: number
  /** An hour of song and ten minutes of playback as well, which take as long and about 4 GB of disk. */
  readonly long: boolean
  readonly json: boolean
}

export const USAGE = `npm run bench -- [options]
  --only S1,S3   of ${SECTION_IDS.join(', ')}; all of them when nothing is said
  --rounds N     counted runs of each contestant, 5 when nothing is said
  --long         60 minutes of song and ten of playback as well (S5, S4-600; about 4 GB of disk)
  --json         one JSON document on standard output in place of the tables
Material and results lie under .bench/; delete the folder to have them made again.`

/** @throws Error with a sentence for whoever typed the call */
export function parseOptions(args: readonly string[]): BenchOptions | 'help' {
  const { values } = parseArgs({
    args: [...args],
    options: {
      only: { type: 'string' },
      rounds: { type: 'string', default: '5' },
      long: { type: 'boolean', default: false },
      json: { type: 'boolean', default: false },
      help: { type: 'boolean', default: false },
    },
  })
  if (values.help) return 'help'
  const rounds = Number(values.rounds)
  if (!Number.isInteger(rounds) || rounds < 1) throw new Error('--rounds takes a whole number from 1')
  return {
    only:
      values.only === undefined
        ? SECTION_IDS.filter((id) => values.long || id !== 'S4-600')
        : values.only.split(',').map(sectionId),
    rounds,
    long: values.long,
    json: values.json,
  }
}

function sectionId(text: string): SectionId {
  const id = SECTION_IDS.find((one) => one.toLowerCase() === text.trim().toLowerCase())
  if (id === undefined) throw new Error(`--only knows ${SECTION_IDS.join(', ')}, not ${text}`)
  return id
}

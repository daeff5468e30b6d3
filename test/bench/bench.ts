// The benchmark: Takeloft against general-purpose tools in the same run, told as ratios. It
// judges nothing and always ends with 0 when it ran: times on a shared machine prove nothing alone.

import { cpus, loadavg } from 'node:os'
import { type BenchOptions, parseOptions, type SectionId, USAGE } from './options.ts'
import { type Section, sectionAsText } from './report.ts'
import { bounceStack } from './sections/bounce-stack.ts'
import { checkStack } from './sections/check-stack.ts'
import { hotFunctions } from './sections/hot-functions.ts'
import { importGrowth } from './sections/import-growth.ts'
import { intake } from './sections/intake.ts'
import { knob } from './sections/knob.ts'
import { largeCatalogue } from './sections/large-catalogue.ts'
import { largeStack, largestStack } from './sections/large-stack.ts'
import { layerGrowth } from './sections/layer-growth.ts'
import { longBounce } from './sections/long-bounce.ts'
import { measureChain } from './sections/measure-chain.ts'
import { measureLevels, measureTake } from './sections/measure-take.ts'
import { passageCosts } from './sections/passages.ts'
import { processTake } from './sections/process-take.ts'
import { relocation } from './sections/relocation.ts'
import { songRows } from './sections/song-rows.ts'
import { stageCosts } from './sections/stage-costs.ts'
import { tenMinutes } from './sections/ten-minutes.ts'
import { haveProgram, versionOf } from './tools.ts'

const sections: Readonly<
  Record<SectionId, (options: BenchOptions, say: (message: string) => void) => Promise<Section>>
> = {
  S1: processTake,
  S2: bounceStack,
  S3: measureLevels,
  check: measureTake,
  S4: knob,
  'S4-600': tenMinutes,
  S5: longBounce,
  S6: largeCatalogue,
  S7: largeStack,
  'S7-64': largestStack,
  S8: intake,
  import: importGrowth,
  layers: layerGrowth,
  passages: passageCosts,
  joints: measureChain,
  song: songRows,
  'stack-check': checkStack,
  relocate: relocation,
  stages: stageCosts,
  profile: hotFunctions,
}

const say = (message: string): void => void process.stderr.write(`${message}\n`)

async function run(options: BenchOptions): Promise<void> {
  if (!haveProgram('ffmpeg'))
    throw new Error('The benchmark compares with ffmpeg, which is not on PATH; install it.')
  const machine = {
    processor: cpus()[0]?.model ?? 'unknown',
    cores: cpus().length,
    node: process.version,
    ffmpeg: versionOf('ffmpeg', '-version'),
    sox: versionOf('sox', '--version'),
    loadBefore: loadavg()[0],
  }
  if (!options.json) {
    process.stdout.write(
      `${machine.processor}, ${machine.cores} cores, load ${machine.loadBefore.toFixed(1)}; Node ${machine.node}; ${machine.ffmpeg}; ${machine.sox ?? 'no sox'}\n`,
    )
  }
  const done: Section[] = []
  for (const id of options.only) {
    const section = await sections[id](options, (message) => say(`${id}: ${message}`))
    done.push(section)
    if (!options.json) process.stdout.write(`${sectionAsText(section)}\n`)
  }
  const loadAfter = loadavg()[0]
  if (options.json) {
    process.stdout.write(
      `${JSON.stringify({ machine: { ...machine, loadAfter }, sections: done }, null, 2)}\n`,
    )
  } else {
    process.stdout.write(
      `\nRatios: the median over the rounds, with the least and the most. Load now ${loadAfter.toFixed(1)}.\n`,
    )
  }
}

try {
  const options = parseOptions(process.argv.slice(2))
  if (options === 'help') process.stdout.write(`${USAGE}\n`)
  else await run(options)
} catch (error) {
  say(error instanceof Error ? error.message : String(error))
  process.exitCode = 2
}

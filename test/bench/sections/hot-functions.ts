// Where the time of S1's job goes: a CPU profile of it in a warm process, by function.

import { writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { kernels } from '../../../app/dsp/wasm/kernels.ts'
import { startJobProcess } from '../job-process.ts'
import { LIKE_SETUPS } from '../like-chain.ts'
import { speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Section } from '../report.ts'
import { selfTimes } from '../self-times.ts'
import { TAKE_SECONDS } from './process-take.ts'

const SHOWN = 15
/** A profile counts an inlined function as its caller. So only what is smaller than any loop is inlined; the job takes as long. */
const FLAGS = ['--max-inlined-bytecode-size=120']

export async function hotFunctions(_options: BenchOptions, say: (message: string) => void): Promise<Section> {
  const folder = freshFolder('profile')
  const input = {
    from: resolve(inRoot(speechTake(TAKE_SECONDS, 0))),
    to: resolve(inRoot(`${folder}/job.wav`)),
    setups: LIKE_SETUPS,
    encoding: 'pcm-24',
  } as const
  const jobs = startJobProcess(FLAGS)
  try {
    say('warming')
    await jobs.run({ name: 'processFile', input, profiled: false })
    say('profiling')
    const { cost, profile } = await jobs.run({ name: 'processFile', input, profiled: true })
    if (profile === null) throw new Error('the job came back without its profile')
    const file = `${folder}/process-take.cpuprofile`
    writeFileSync(inRoot(file), JSON.stringify(profile))
    return {
      id: 'profile',
      title: "S1's job, warm, by the time spent in each function itself",
      commands: {},
      notes: [
        `It took ${cost.wallS.toFixed(2)} s under the profiler.`,
        `The whole profile, for any viewer of CPU profiles: ${file}`,
      ],
      tables: [
        {
          title: `the first ${SHOWN}`,
          columns: [
            { key: 'name', head: 'function' },
            { key: 'place', head: 'at' },
            { key: 'selfMs', head: 'self ms', digits: 0 },
            { key: 'percent', head: '%', digits: 1 },
          ],
          rows: selfTimes(profile, kernelNames())
            .slice(0, SHOWN)
            .map((row) => ({ ...row })),
        },
      ],
    }
  } finally {
    jobs.end()
  }
}

/** By index in the module, which is what an exported function is called in JavaScript. */
function kernelNames(): Map<string, string> {
  return new Map(
    Object.entries(kernels).flatMap(([name, kernel]: [string, unknown]) =>
      typeof kernel === 'function' ? [[kernel.name, name] as const] : [],
    ),
  )
}

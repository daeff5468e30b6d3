// Where the time of S1's job goes: a CPU profile of it in a warm process, by function.

import { writeFileSync } from 'node:fs'
import type { Profiler } from 'node:inspector'
import { relative, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { startJobProcess } from '../job-process.ts'
import { LIKE_SETUPS } from '../like-chain.ts'
import { speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot, ROOT } from '../places.ts'
import type { Section } from '../report.ts'
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
          rows: selfTimes(profile)
            .slice(0, SHOWN)
            .map((row) => ({ ...row })),
        },
      ],
    }
  } finally {
    jobs.end()
  }
}

interface SelfTime {
  readonly name: string
  readonly place: string
  readonly selfMs: number
  readonly percent: number
}

/** Busy time only, most first. */
export function selfTimes({ nodes, samples = [], timeDeltas = [] }: Profiler.Profile): SelfTime[] {
  const frames = new Map(nodes.map((node) => [node.id, node.callFrame]))
  const microseconds = new Map<string, number>()
  let busy = 0
  for (const [k, id] of samples.entries()) {
    const frame = frames.get(id)
    if (frame === undefined || frame.functionName === '(idle)') continue
    const key = JSON.stringify([frame.functionName || '(anonymous)', placeOf(frame)])
    // A delta is the time since the sample before, so what follows a sample is its own.
    const spent = Math.max(0, timeDeltas[k + 1] ?? 0)
    microseconds.set(key, (microseconds.get(key) ?? 0) + spent)
    busy += spent
  }
  return [...microseconds]
    .sort(([, a], [, b]) => b - a)
    .map(([key, spent]) => {
      const [name, place] = JSON.parse(key) as [string, string]
      return { name, place, selfMs: spent / 1000, percent: (100 * spent) / busy }
    })
}

function placeOf({ url, lineNumber }: { url: string; lineNumber: number }): string {
  if (!url.startsWith('file:')) return url
  return `${relative(ROOT, fileURLToPath(url))}:${lineNumber + 1}`
}

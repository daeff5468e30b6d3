// A process of its own that runs jobs when it is asked to, warm and without start-up: the same
// functions that the program runs, on a thread that does nothing else.

import { rmSync } from 'node:fs'
import type { Profiler } from 'node:inspector'
import { Session } from 'node:inspector/promises'
import { hashFile } from '../../app/audio/sha256.ts'
import { measureLevels } from '../../app/engine/measuring/measure-levels.ts'
import { processAudioFile } from '../../app/engine/rendering/process-file.ts'
import type { Jobs } from '../../app/workers/jobs.ts'
import { measureTake } from '../../app/workers/render-worker.ts'
import { chainHelperFor } from '../../app/workers/start-chain-helper.ts'
import type { Cost } from './contest.ts'

type Processing = Parameters<typeof processAudioFile>[0]

export interface HostedJobs {
  readonly measureTake: Jobs['measureTake']['input']
  readonly measureLevels: { readonly path: string; readonly workingFolder: string }
  readonly processFile: Pick<Processing, 'from' | 'to' | 'setups' | 'encoding'>
}
export type HostedJob = keyof HostedJobs

export interface JobOrder<N extends HostedJob = HostedJob> {
  readonly name: N
  readonly input: HostedJobs[N]
  readonly profiled: boolean
}

export interface JobReport {
  readonly cost: Cost
  readonly profile: Profiler.Profile | null
}

const ignore = (): void => {}

const work: { readonly [N in HostedJob]: (input: HostedJobs[N]) => Promise<unknown> } = {
  async measureTake(input) {
    const cancel = new Int32Array(new SharedArrayBuffer(4))
    const progress = new Float64Array(new SharedArrayBuffer(8))
    const answer = await measureTake({ input, cancel, progress })
    if (!answer.ok) throw new Error(answer.failure.message)
  },
  measureLevels: ({ path, workingFolder }) => measureLevels(path, workingFolder, ignore),
  processFile(input) {
    // Nothing that exists is written over, also where a job runs several times.
    rmSync(input.to, { force: true })
    return processAudioFile({
      ...input,
      name: input.from,
      identity: () => hashFile(input.from),
      onProgress: ignore,
      beforeFinish: ignore,
      helperFor: chainHelperFor,
    })
  },
}
const SAMPLE_EVERY_US = 250

async function runJob<N extends HostedJob>({ name, input }: JobOrder<N>): Promise<Cost> {
  const usage = process.cpuUsage()
  const begun = performance.now()
  await work[name](input)
  const wallS = (performance.now() - begun) / 1000
  return { wallS, userS: process.cpuUsage(usage).user / 1e6 }
}

async function runProfiled(order: JobOrder): Promise<JobReport> {
  const session = new Session()
  session.connect()
  await session.post('Profiler.enable')
  await session.post('Profiler.setSamplingInterval', { interval: SAMPLE_EVERY_US })
  await session.post('Profiler.start')
  const cost = await runJob(order)
  const { profile } = await session.post('Profiler.stop')
  session.disconnect()
  return { cost, profile }
}

process.on('message', async (order: JobOrder) => {
  const report: JobReport = order.profiled
    ? await runProfiled(order)
    : { cost: await runJob(order), profile: null }
  process.send?.(report)
})

// A process of its own that runs the pool's jobs when it is asked to, warm and without start-up:
// the same functions that a pool thread runs, on a thread that does nothing else.

import type { Profiler } from 'node:inspector'
import { Session } from 'node:inspector/promises'
import type { JobAnswer, Jobs, JobTask } from '../../app/workers/jobs.ts'
import { measureLevels, measureTake, processFile } from '../../app/workers/render-worker.ts'
import type { Cost } from './contest.ts'

export type HostedJob = 'measureTake' | 'measureLevels' | 'processFile'

export interface JobOrder<N extends HostedJob = HostedJob> {
  readonly name: N
  readonly input: Jobs[N]['input']
  readonly profiled: boolean
}

export interface JobReport {
  readonly cost: Cost
  readonly profile: Profiler.Profile | null
}

const work: { readonly [N in HostedJob]: (task: JobTask<N>) => Promise<JobAnswer<N>> } = {
  measureTake,
  measureLevels,
  processFile,
}
const SAMPLE_EVERY_US = 250

async function runJob<N extends HostedJob>({ name, input }: JobOrder<N>): Promise<Cost> {
  const task: JobTask<N> = {
    input,
    cancel: new Int32Array(new SharedArrayBuffer(4)),
    progress: new Float64Array(new SharedArrayBuffer(8)),
  }
  const usage = process.cpuUsage()
  const begun = performance.now()
  const answer: JobAnswer<N> = await work[name](task)
  const wallS = (performance.now() - begun) / 1000
  if (!answer.ok) throw new Error(answer.failure.message)
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

// The benchmark's side of the job host: starts it, orders jobs, ends it.

import { fork } from 'node:child_process'
import type { HostedJob, JobOrder, JobReport } from './job-host.ts'
import { inRoot, ROOT } from './places.ts'

export interface JobProcess {
  run<N extends HostedJob>(order: JobOrder<N>): Promise<JobReport>
  end(): void
}

/** @param nodeFlags for the process's Node */
export function startJobProcess(nodeFlags: readonly string[] = []): JobProcess {
  const host = fork(inRoot('test/bench/job-host.ts'), { cwd: ROOT, execArgv: [...nodeFlags] })
  return {
    run: (order) =>
      new Promise((settle, refuse) => {
        const onExit = (status: number | null): void =>
          refuse(new Error(`the job ${order.name} ended its process with ${status}`))
        host.once('exit', onExit)
        host.once('message', (report: JobReport) => {
          host.off('exit', onExit)
          settle(report)
        })
        host.send(order)
      }),
    end() {
      host.disconnect()
    },
  }
}

// The most memory that a process's descendants hold, read from Linux's /proc: VmHWM is the
// kernel's own high-water mark, so looking now and then loses only what comes after the last look.

import { readdirSync, readFileSync } from 'node:fs'

const LOOK_EVERY_MS = 25

export interface MemoryWatch {
  /** Bytes, the sum of every descendant's own peak; null where /proc does not tell. */
  stop(): number | null
}

/** @param pid the process whose descendants count; it itself does not */
export function watchPeakMemory(pid: number | undefined): MemoryWatch {
  const peaks = new Map<number, number>()
  const look = (): void => {
    if (pid === undefined) return
    for (const one of descendantsOf(pid)) {
      const bytes = highWaterMark(one)
      if (bytes !== null) peaks.set(one, bytes)
    }
  }
  const timer = setInterval(look, LOOK_EVERY_MS)
  return {
    stop() {
      clearInterval(timer)
      return peaks.size === 0 ? null : [...peaks.values()].reduce((sum, one) => sum + one, 0)
    },
  }
}

function descendantsOf(pid: number): number[] {
  const children = childrenOf(pid)
  return [...children, ...children.flatMap(descendantsOf)]
}

function childrenOf(pid: number): number[] {
  try {
    return readdirSync(`/proc/${pid}/task`).flatMap((task) =>
      readFileSync(`/proc/${pid}/task/${task}/children`, 'utf8').split(' ').filter(Boolean).map(Number),
    )
  } catch {
    // It has ended, or there is no /proc.
    return []
  }
}

function highWaterMark(pid: number): number | null {
  try {
    const kilobytes = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))
    return kilobytes === null ? null : Number(kilobytes[1]) * 1024
  } catch {
    return null
  }
}

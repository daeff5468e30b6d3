// The audit of all takes: on request, or a thirtieth of their bytes a day while the program has nothing else to do.

import { setTimeout as pause } from 'node:timers/promises'
import type { TakeCheckResult } from '../../contract/entities.ts'
import type { CallContext, Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'
import { type AuditedTake, auditTake, dayBefore } from './audit-take.ts'
import { findCopies } from './find-copies.ts'

/** Every take is read once in this many days (D20: the interval at which file systems usually scrub disks). */
const DAYS_FOR_ALL = 30
const LOOK_EVERY_MS = 60_000
/** How soon reading stops when something else begins. */
const YIELD_WITHIN_MS = 100

/** What an audit has read, and the takes that are not as they were. */
interface Audit {
  readonly checked: number
  readonly sound: number
  readonly findings: readonly {
    readonly name: string
    readonly sha256: string
    readonly path: string
    readonly result: TakeCheckResult
    /** Other files with the take's bytes. */
    readonly copies: readonly string[]
  }[]
  /** Names of takes whose files were changed while they were read. */
  readonly inUse: readonly string[]
}

/** Reads all takes, or only what is due today. @throws Failure 'cancelled'; what was read until then is stored */
export async function auditTakes(workplace: Workplace, isAll: boolean, context: CallContext): Promise<Audit> {
  const { catalogue, now } = workplace
  const findings: Audit['findings'][number][] = []
  const inUse: string[] = []
  const seen: number[] = []
  let checked = 0
  const start = now()
  const share = catalogue.takeChecks.totalBytes() / DAYS_FOR_ALL
  const isDone = (): boolean => !isAll && catalogue.takeChecks.bytesSince(dayBefore(start)) >= share
  const ids = isAll ? catalogue.takes.listOnDisk(null).map(({ id }) => id) : []
  const next = (): number | undefined =>
    isAll ? ids[seen.length] : isDone() ? undefined : catalogue.takeChecks.findDue(dayBefore(start), seen)
  for (let id = next(); id !== undefined; id = next()) {
    seen.push(id)
    const audited = await auditTake(workplace, id, context.signal)
    if (audited === null) {
      inUse.push(catalogue.takes.get(id).name)
      continue
    }
    checked++
    const { take, path, result } = audited
    tell(workplace, audited)
    if (result !== 'sound') {
      findings.push({
        ...{ name: take.name, sha256: take.sha256, path, result },
        copies: await findCopies(workplace, take),
      })
    }
    context.report(isAll ? seen.length / Math.max(1, ids.length) : 0, 'Reading the takes')
  }
  return { checked, sound: checked - findings.length, findings, inUse }
}

/**
 * Audits while nothing plays, renders or imports, until it is stopped.
 * @param lookEveryMs how often it is asked whether the program has nothing to do
 */
export function auditWhileIdle(
  workplace: Workplace,
  lookEveryMs: number = LOOK_EVERY_MS,
): () => Promise<void> {
  const stop = new AbortController()
  let running: Promise<void> | null = null
  const look = (): void => {
    running ??= auditShare(workplace, stop.signal)
      .catch(() => {
        // The catalogue or the disk fails at this moment; the next look tries again.
      })
      .finally(() => {
        running = null
      })
  }
  const timer = setInterval(look, lookEveryMs)
  timer.unref()
  return async () => {
    clearInterval(timer)
    stop.abort()
    await running
  }
}

/** Reads takes until today's share is done, or the program gets something to do. */
async function auditShare(workplace: Workplace, stopped: AbortSignal): Promise<void> {
  const { catalogue, now } = workplace
  const share = catalogue.takeChecks.totalBytes() / DAYS_FOR_ALL
  const passedOver: number[] = []
  while (!stopped.aborted && isIdle(workplace)) {
    const since = dayBefore(now())
    if (catalogue.takeChecks.bytesSince(since) >= share) return
    const id = catalogue.takeChecks.findDue(since, passedOver)
    if (id === undefined) return
    const began = performance.now()
    const audited = await whileIdle(workplace, stopped, (signal) => auditTake(workplace, id, signal))
    if (audited === null) passedOver.push(id)
    else tell(workplace, audited)
    // As long a rest as the reading took, so that the disk is half free for others.
    await pause(performance.now() - began, undefined, { signal: stopped, ref: false })
  }
}

const isIdle = ({ pool, playback, backgroundTasks }: Workplace): boolean =>
  pool.isIdle() && isQuiet({ playback, backgroundTasks })

const isQuiet = ({ playback, backgroundTasks }: Pick<Workplace, 'playback' | 'backgroundTasks'>): boolean =>
  !playback.isInUse() && backgroundTasks.list().every(({ hasEnded }) => hasEnded)

/** Cancels `act` when something else begins. */
async function whileIdle<T>(
  workplace: Workplace,
  stopped: AbortSignal,
  act: (signal: AbortSignal) => Promise<T>,
): Promise<T> {
  const busy = new AbortController()
  const timer = setInterval(() => {
    if (!isQuiet(workplace)) busy.abort()
  }, YIELD_WITHIN_MS)
  try {
    return await act(AbortSignal.any([stopped, busy.signal]))
  } finally {
    clearInterval(timer)
  }
}

function tell({ warn, emit }: Workplace, { take, path, result, isNews }: AuditedTake): void {
  if (!isNews) return
  const sentence = WARNINGS[result]?.(take.name, path)
  if (sentence !== undefined) warn(sentence)
  emit('catalogueChanged', { subjects: ['takes', 'stack', 'ledger'] })
}

const FIND = 'Open “Find missing takes” in Intake and look for copies'
const WARNINGS: Partial<Record<TakeCheckResult, (name: string, path: string) => string>> = {
  rot: (name, path) =>
    `The file of the take ${name} is damaged: ${path} has other bytes than at its import, and by its time stamp nothing has written to it, so the disk may be failing. ${FIND}; save what else is on that disk.`,
  edited: (name, path) =>
    `The file of the take ${name} was written to or replaced since its import: ${path}. ${FIND}, or import the file as a new take.`,
  unreadable: (name, path) =>
    `The file of the take ${name} cannot be read: ${path}. Check the disk. ${FIND}.`,
}

/** Commands on copies of takes. */
export function auditHandlers(workplace: Workplace): Pick<Handlers, 'findTakeCopies'> {
  return {
    findTakeCopies: async ({ takeId }) => ({
      paths: await findCopies(workplace, workplace.catalogue.takes.get(takeId)),
    }),
  }
}

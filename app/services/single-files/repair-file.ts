// Mends one file without a catalogue, for the command line. Runs on the main thread.

import { resolve } from 'node:path'
import { remarksOn } from '../../audio/format-remarks.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { formatOf, readableTakePath } from '../../audio/open-take-file.ts'
import { refuseManyChannels } from '../../audio/take-channels.ts'
import { Failure } from '../../contract/failure.ts'
import {
  type RepairReport,
  RepairReport as RepairReportSchema,
} from '../../contract/repairs/repair-report.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import type { WantedRepairs } from '../../engine/repairing/plan-repairs.ts'
import { repairAudioFile } from '../../engine/repairing/repair-file.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import { createPauses } from './pauses.ts'
import { refuseResultPath, watchUntouched } from './untouched-take.ts'

const DOING = 'Mending'

/** Paths of the take and of what is written, and what to mend. */
interface RepairRequest extends WantedRepairs {
  readonly from: string
  readonly to: string
  readonly removed: string | undefined
}

/**
 * Mends one file into a new one. The written take and what was taken away add up to the original.
 * @throws Failure 'invalid-input' when a result is the take itself or both are one file, 'conflict' when one
 *   exists, 'changed' when `from` was written to meanwhile, and the failures of reading and writing
 */
export async function repairFile(
  request: RepairRequest,
  context: CallContext,
): Promise<RepairReport & { readonly remarks: readonly string[] }> {
  // Before anything is refused, because it also removes what a killed run left beside the result.
  return withScratchFolder(async (scratch) => {
    const from = resolve(request.from)
    const to = resolve(request.to)
    const removed = request.removed === undefined ? null : resolve(request.removed)
    refuseResultPath(from, to)
    if (removed !== null) refuseResultPath(from, removed)
    if (removed === to) {
      throw new Failure('invalid-input', `${to} is named for both results; name two files.`, { to })
    }
    const beforeFinish = watchUntouched(from, 'mended')
    const onProgress = createPauses(context, DOING)
    const readable = await readableTakePath(from, 'take', scratch, () => onProgress(0))
    const opened = openAudioFile(readable)
    opened.close()
    const format = formatOf(from, opened.format)
    refuseManyChannels(from, format.channels)
    const wanted = request
    const report = await repairAudioFile({
      ...{ from: readable, to, removed, name: from, wanted, onProgress, beforeFinish },
    })
    context.report(1, DOING)
    return { ...RepairReportSchema.parse(report), remarks: remarksOn(from, format) }
  })
}

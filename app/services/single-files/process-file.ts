// Processes one file with one chain, without a catalogue, for the command line. Runs on the main thread
// and a helper thread.

import { createHash } from 'node:crypto'
import { resolve } from 'node:path'
import { remarksOn } from '../../audio/format-remarks.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import type { CallContext, StemEncoding } from '../../contract/wire/commands.ts'
import type { ProcessedFile } from '../../engine/rendering/process-file.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import { bringUpChainHelper, chainHelperFor } from '../../workers/start-chain-helper.ts'
import type { ChainPaths } from '../chains/chain-file.ts'
import { refuseResultPath, watchUntouched } from './untouched-take.ts'

const DOING = 'Processing'

const NO_MIC_CURVE =
  'The mic correction does nothing, because no curve of the take’s mic was given; give one with --mic-curve.'

/** What was done, and what the user should know about it. */
type Processed = ProcessedFile & { readonly remarks: readonly string[] }

/** Paths of the take and the result, and the encoding of the result. */
export interface ProcessRequest extends ChainPaths {
  readonly from: string
  readonly to: string
  readonly encoding: StemEncoding
}

/**
 * Processes one file with one chain into a new file.
 * @throws Failure 'invalid-input' when `to` is the take itself, 'conflict' when `to` exists, 'changed' when
 *   `from` was written to meanwhile, and the failures of reading, rendering and writing
 */
export async function processFile(request: ProcessRequest, context: CallContext): Promise<Processed> {
  // Before anything is refused, because it also removes what a killed run left beside the result.
  return withScratchFolder((scratch) => processInto(request, scratch, context))
}

async function processInto(
  request: ProcessRequest,
  scratch: string,
  context: CallContext,
): Promise<Processed> {
  const from = resolve(request.from)
  const to = resolve(request.to)
  refuseResultPath(from, to)
  const refuseTouched = watchUntouched(from, 'processed')
  bringUpChainHelper()
  // Imported here so that loading overlaps with the start of the helper.
  const { readChainFile } = await import('../chains/chain-file.ts')
  const { formatOf, readableTakePath } = await import('../../audio/open-take-file.ts')
  const { refuseManyChannels } = await import('../../audio/take-channels.ts')
  const { openAudioFile } = await import('../../audio/open-audio-file.ts')
  const { hashFile } = await import('../../audio/sha256.ts')
  const { processAudioFile } = await import('../../engine/rendering/process-file.ts')
  const { createCorrectionFitter } = await import('../mics/correction-fitter.ts')
  const { createPauses } = await import('./pauses.ts')
  const { resolveStages } = await import('../chains/resolve-stages.ts')
  const { stages, micCurve, remarks } = readChainFile(request)
  const onProgress = createPauses(context, DOING)
  const readable = await readableTakePath(from, 'take', scratch, () => onProgress(0))
  const opened = openAudioFile(readable)
  opened.close()
  const format = formatOf(from, opened.format)
  refuseManyChannels(from, format.channels)
  const resolved = resolveStages(stages, micCurve, format.sampleRateHz, createCorrectionFitter())
  const setups = resolved.flatMap(({ setup }) => (setup === null ? [] : [setup]))
  const done = await processAudioFile({
    from: readable,
    to,
    name: from,
    setups,
    encoding: request.encoding,
    identity: async () => soundIdentity(await hashFile(from, context.signal), setups),
    onProgress,
    beforeFinish: refuseTouched,
    helperFor: chainHelperFor,
  })
  context.report(1, DOING)
  const isUncorrected = micCurve === null && stages.some(({ kind, on }) => on && kind === 'mic-correction')
  return {
    ...done,
    remarks: [...remarksOn(from, format), ...remarks, ...(isUncorrected ? [NO_MIC_CURVE] : [])],
  }
}

/** Hash of the take's bytes and the stages, of which the sound is a function. */
const soundIdentity = (takeSha256: string, setups: readonly StageSetup[]): string =>
  createHash('sha256').update(JSON.stringify({ takeSha256, setups })).digest('hex')

// Measures the facts of a file without a catalogue, for the command line.

import { resolve } from 'node:path'
import { remarksOn } from '../../audio/format-remarks.ts'
import type { FileFacts } from '../../contract/take-facts.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import type { MeasuredFile } from '../../engine/measuring/measured-file.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import { createPauses } from './pauses.ts'

const DOING = 'Measuring'

/** Everything that an import measures. */
export function measureFile(path: string, { signal, report }: CallContext): Promise<FileFacts> {
  return factsOf(path, async (workingFolder) => {
    const { withPool } = await import('./with-pool.ts')
    return withPool((pool) =>
      pool.run(
        'measureTake',
        { path: resolve(path), workingFolder, peaksFolder: null },
        { signal, onProgress: (fraction) => report(fraction, DOING) },
      ),
    )
  })
}

/**
 * Loudness and peaks, without the check and the voice analysis. Measured on the main thread, because
 * starting another thread would take longer.
 */
export function measureFileLevels(path: string, context: CallContext): Promise<FileFacts> {
  return factsOf(path, async (workingFolder) => {
    const { measureLevels } = await import('../../engine/measuring/measure-levels.ts')
    const onProgress = createPauses(context, DOING)
    const measured = await measureLevels(resolve(path), workingFolder, onProgress, context.signal)
    context.report(1, DOING)
    return measured
  })
}

async function factsOf(
  path: string,
  measure: (workingFolder: string) => Promise<MeasuredFile>,
): Promise<FileFacts> {
  const { sha256, format, facts } = await withScratchFolder(measure)
  return {
    sha256,
    sampleRateHz: format.sampleRateHz,
    channels: format.channels,
    frames: format.frames,
    container: format.container,
    encoding: format.encoding,
    remarks: remarksOn(path, format),
    ...facts,
  }
}

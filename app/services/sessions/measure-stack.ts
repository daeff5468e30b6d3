// Measures the processed stack of a session with its saved chains.

import { Failure } from '../../contract/failure.ts'
import { takeHashesOf } from '../../contract/passages/layer-takes.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { SongSpan } from '../../contract/sections/song-range.ts'
import type { StackMeasurement } from '../../contract/stack-measurement.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { createPassedSound } from '../../engine/measuring/passed-sound.ts'
import { splitStack } from '../../engine/measuring/split-stack.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import { runTogether } from '../run-together.ts'
import { catalogueRoot, missingFailure, readableTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { planSession, readSessionContents } from './plan-session.ts'
import { presentLayers } from './present-layers.ts'
import { partOfSong } from './span-of-range.ts'

export function measureStackHandlers(workplace: Workplace): Pick<Handlers, 'measureStack'> {
  const { catalogue, fitter, verifiedFiles } = workplace
  return {
    async measureStack({ sessionId, range }, { signal, report }) {
      const all = readSessionContents(catalogue, sessionId)
      const root = catalogueRoot(catalogue.path)
      const { layers, found, missing } = await presentLayers(verifiedFiles, root, all.takes, all.layers, {
        isBrief: false,
      })
      const contents = { ...all, layers: [...layers] }
      const { plan } = planSession(catalogue, fitter, contents)
      const used = takeHashesOf(plan.layers)
      if (used.size === 0 && missing.length > 0) {
        throw missingFailure(missing, 'There is nothing to measure')
      }
      if (used.size === 0) {
        throw new Failure(
          'empty',
          'There is nothing to measure yet: place a take in the stack, or unmute a layer.',
        )
      }
      const span = partOfSong(plan, range, contents)
      const takePaths = await readableTakes(workplace, found, signal)
      const measurement = await measurePlan(workplace, plan, span, takePaths, {
        signal,
        onProgress: (fraction) => report(fraction, 'Measuring the stack'),
      })
      return { ...measurement, missing: missing.map(({ take }) => take.name) }
    },
  }
}

/**
 * Measures what a plan renders, on two threads where its groups have chains of their own.
 * @param span the part that is measured, rendered from the song's start as in a bounce; null for the whole song
 */
export async function measurePlan(
  { pool, playback }: Workplace,
  whole: RenderPlan,
  span: SongSpan | null,
  takePaths: TakePaths,
  { signal, onProgress }: { signal: AbortSignal; onProgress: (fraction: number) => void },
): Promise<StackMeasurement> {
  const { startFrame: fromFrame, frames } = span ?? whole
  // What is behind the part need not be rendered.
  const plan = { ...whole, frames: fromFrame + frames - whole.startFrame }
  // While something plays, the other processors are left to it.
  const split = pool.threads < 2 || playback.isInUse() ? null : splitStack(plan)
  const passed = split && createPassedSound(2, plan.frames, plan.sampleRateHz)
  if (split === null || passed === null)
    return pool.run('measureStack', { plan, fromFrame, takePaths, passed: null }, { signal, onProgress })
  return runTogether(signal, async (both) => {
    // In this order, so that the measuring job never waits for one that has no thread.
    const passing = pool.run('passStack', { plan: split.passed, takePaths, passed }, { signal: both })
    const input = { plan: split.measured, fromFrame, takePaths, passed }
    const measuring = pool.run('measureStack', input, { signal: both, onProgress })
    const [measurement] = await Promise.all([measuring, passing])
    return measurement
  })
}

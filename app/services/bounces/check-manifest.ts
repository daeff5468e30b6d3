// Checks whether a manifest can be rendered: compares its plan with its own layers, and its takes with their
// files. The schema has been checked already, but a manifest edited by hand may still contradict itself.

import { openAudioFile } from '../../audio/open-audio-file.ts'
import { Failure } from '../../contract/failure.ts'
import type { Manifest } from '../../contract/manifest.ts'
import { takesOfLayer } from '../../contract/passages/layer-takes.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import { misplacedPassage } from '../sessions/misplaced-passages.ts'
import { spanOfLayers } from '../sessions/plan-session.ts'
import { refuseUnconvertible } from '../takes/session-rate.ts'

/**
 * @param where path of the manifest
 * @throws Failure `invalid-input` when the plan starts or ends elsewhere than its layers, `not-supported` for
 *   takes at rates that cannot be converted
 */
export function refuseOtherPlan({ plan }: Manifest, where: string): void {
  refuseUnfitTakes(plan, where)
  const span = spanOfLayers(plan.layers, plan.sampleRateHz)
  if (span.startFrame === plan.startFrame && span.frames === plan.frames) return
  throw new Failure(
    'invalid-input',
    `${where} cannot be used as a manifest: its plan has ${plan.frames} frames from ${plan.startFrame}, and its layers take ${span.frames} from ${span.startFrame}; restore the original manifest.`,
    { where },
  )
}

/**
 * @throws Failure `not-supported` for takes at rates that cannot be converted, `invalid-input` for passages that do not
 *   fit their takes
 */
export function refuseUnfitTakes(plan: RenderPlan, where: string): void {
  for (const layer of plan.layers) {
    for (const { take } of takesOfLayer(layer))
      refuseUnconvertible(layer.name, take.sampleRateHz, plan.sampleRateHz)
  }
  const wrong = misplacedPassage(plan)
  if (wrong === null) return
  throw new Failure(
    'invalid-input',
    `${where} cannot be used as a manifest: ${wrong}; restore the original manifest.`,
    { where },
  )
}

/**
 * @param takePaths paths of the unchanged takes
 * @throws Failure `invalid-input` when one has another format than the manifest says; as openAudioFile
 */
export function refuseOtherFormats({ plan }: Manifest, takePaths: TakePaths, where: string): void {
  const planned = new Map(
    plan.layers.flatMap((layer) =>
      takesOfLayer(layer).map(({ take }) => [take.sha256, { name: layer.name, take }] as const),
    ),
  )
  for (const [sha256, { name, take }] of planned) {
    const path = takePaths[sha256]
    if (path === undefined) continue
    const source = openAudioFile(path)
    source.close()
    const { sampleRateHz, channels, frames } = source.format
    if (sampleRateHz === take.sampleRateHz && channels === take.channels && frames === take.frames) continue
    throw new Failure(
      'invalid-input',
      `${where} cannot be used as a manifest: it says that the take of the layer "${name}" has ${take.frames} frames of ${take.channels} ch at ${take.sampleRateHz} Hz, and the file has ${frames} of ${channels} at ${sampleRateHz} Hz; take the manifest from the bounce again.`,
      { where },
    )
  }
}

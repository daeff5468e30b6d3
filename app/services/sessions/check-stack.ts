// Checks what the layers of a session add up to, with its saved chains, and keeps what was found by its content.

import type { SessionContents } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { SongRange } from '../../contract/sections/song-range.ts'
import type { StackCheck } from '../../contract/stack-check/stack-check.ts'
import type { CallContext, Handlers } from '../../contract/wire/commands.ts'
import type { CheckedStack } from '../../dsp/stack/stack-check.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { catalogueRoot, missingFailure, readableTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { framesOfRange, leadPhrases } from './check-range.ts'
import { planSession, readSessionContents } from './plan-session.ts'
import { presentLayers } from './present-layers.ts'

/** Some checks of the last sessions, as the stack is changed back and forth; each is at most a megabyte. */
const MOST_KEPT = 24

export function checkStackHandlers(workplace: Workplace): Pick<Handlers, 'checkStack'> {
  const kept = new Map<string, CheckedStack>()
  return {
    checkStack: ({ sessionId, range }, context) => checkSession(workplace, sessionId, range, context, kept),
  }
}

/**
 * @param kept earlier checks by the hash of all that they depend on
 * @throws Failure `empty` where nothing is heard, and as framesOfRange
 */
export async function checkSession(
  workplace: Workplace,
  sessionId: number,
  range: SongRange,
  { signal, report }: CallContext,
  kept = new Map<string, CheckedStack>(),
): Promise<StackCheck> {
  const { catalogue, fitter, verifiedFiles, pool, playback } = workplace
  const all = readSessionContents(catalogue, sessionId)
  const { layers, found, missing } = await presentLayers(
    verifiedFiles,
    catalogueRoot(catalogue.path),
    all.takes,
    all.layers,
    { isBrief: false },
  )
  const contents: SessionContents = { ...all, layers: [...layers] }
  const { plan } = planSession(catalogue, fitter, contents)
  if (plan.layers.length === 0) {
    if (missing.length > 0) throw missingFailure(missing, 'There is nothing to check')
    throw new Failure('empty', 'There is nothing to check yet: place a take in the stack, or unmute a layer.')
  }
  const frames = framesOfRange(plan, range, contents)
  const { phrases, areParts } = leadPhrases(layers, all.takes, plan.sampleRateHz, frames)
  const asked = { fromFrame: frames.from, toFrame: frames.to, phrases }
  const key = hashOfValue([plan, asked])
  let checked = kept.get(key)
  if (checked === undefined) {
    const takePaths = await readableTakes(workplace, found, signal)
    const answer = await pool.run(
      'checkStack',
      // While something plays, the other processors are left to it.
      { plan, range: asked, takePaths, isAlone: playback.isInUse() },
      { signal, onProgress: (fraction) => report(fraction, 'Checking the stack') },
    )
    if (answer === null) {
      throw new Failure('empty', 'Nothing is heard in this range; choose one in which the stack sounds.')
    }
    checked = answer
  }
  // Added again, so that the oldest use is the first to go.
  kept.delete(key)
  kept.set(key, checked)
  for (const oldest of kept.keys()) {
    if (kept.size <= MOST_KEPT) break
    kept.delete(oldest)
  }
  return {
    ...inOrderOf(plan, checked),
    fromS: frames.from / plan.sampleRateHz,
    toS: frames.to / plan.sampleRateHz,
    remarks: remarksOn(
      plan,
      areParts,
      missing.map(({ take }) => take.name),
    ),
  }
}

/** What was measured, with the layers' ids for their places in the plan. */
function inOrderOf(plan: RenderPlan, checked: CheckedStack): Omit<StackCheck, 'fromS' | 'toS' | 'remarks'> {
  const layers = layersInOrder(plan)
  const byLayer = (values: ArrayLike<number> | null) =>
    values === null ? [] : layers.map(({ id }, k) => ({ layerId: id, share: values[k] }))
  return {
    layers: layers.map(({ id, name, role }) => ({ layerId: id, name, isLead: role === 'lead' })),
    bands: checked.bands.map(({ nominalHz, buildUpDb, shares, sharesDb }) => ({
      hz: nominalHz,
      buildUpDb,
      shares: byLayer(shares),
      sharesDb: byLayer(sharesDb),
    })),
    mono: checked.mono.map(({ nominalHz, lossDb, share, lost }) => ({
      hz: nominalHz,
      lossDb,
      energyShare: share,
      lost: byLayer(lost),
    })),
    spans: checked.spans.map(({ fromS, toS, buildUpDb, shares, glimpsedShare }) => ({
      fromS,
      toS,
      buildUpDb,
      shares: layers.map((_, k) => shares.map((row) => row?.[k] ?? null)),
      glimpsedShare,
    })),
    timings: checked.timings.map(({ layer, medianMs, spreadMs, offsetsMs }) => ({
      layerId: layers[layer].id,
      medianMs,
      spreadMs,
      phrases: offsetsMs.length,
    })),
    findings: checked.findings,
  }
}

/** The layers in the order in which they are rendered: group by group where each has a chain of its own. */
function layersInOrder({ sharing, groups, layers }: RenderPlan): readonly PlannedLayer[] {
  if (sharing === 'shared') return layers
  return groups.flatMap(({ id }) => layers.filter(({ groupId }) => groupId === id))
}

function remarksOn({ layers }: RenderPlan, areParts: boolean, missing: readonly string[]): string[] {
  const leads = layers.filter(({ role }) => role === 'lead').length
  return [
    ...(missing.length === 0 ? [] : [`Without ${missing.join(', ')}: the files are missing.`]),
    ...(leads === 0 ? ['No layer has the role of the lead, so that nothing can build up over it.'] : []),
    ...(layers.length === 1 ? ['There is only one layer, so that nothing can build up.'] : []),
    ...(areParts && leads > 0
      ? ['No phrases of the lead are known in this range; parts of two seconds were judged instead.']
      : []),
  ]
}

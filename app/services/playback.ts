// Playback: from what the window wants to hear to a plan that the playback thread renders.

import { randomUUID } from 'node:crypto'
import type { Handlers } from '../contract/commands.ts'
import { Failure } from '../contract/failure.ts'
import type { OpenedPlayback, ParsedPlaybackSource } from '../contract/playback.ts'
import type { RenderPlan } from '../contract/render-plan.ts'
import type { Listening } from '../engine/playback-engine.ts'
import type { Heard } from '../engine/processed-mix.ts'
import { micCurveOf, planSession, planTake, readSessionContents } from './plan-session.ts'
import { catalogueRoot, type LocatedTake, readableTakes } from './take-files.ts'
import type { Workplace } from './workplace.ts'

type PlaybackActs = 'openPlayback' | 'tunePlayback' | 'matchPlayback' | 'closePlayback'

interface Resolved {
  readonly listening: Listening
  readonly takes: readonly LocatedTake[]
}

export function playbackHandlers(workplace: Workplace): Pick<Handlers, PlaybackActs> {
  const { catalogue, playback } = workplace

  const set = async (
    playbackId: string,
    source: ParsedPlaybackSource,
    signal: AbortSignal,
  ): Promise<OpenedPlayback> => {
    const { listening, takes } = resolveSource(workplace, source)
    const { plan } = listening
    const takePaths = await readableTakes(workplace, catalogueRoot(catalogue.path), takes, signal)
    await playback.ask('set', { playbackId, listening, takePaths })
    return { playbackId, sampleRateHz: plan.sampleRateHz, startFrame: plan.startFrame, frames: plan.frames }
  }

  return {
    openPlayback: (source, { signal }) => set(randomUUID(), source, signal),
    tunePlayback: ({ playbackId, source }, { signal }) => set(playbackId, source, signal),
    matchPlayback: (question) => playback.ask('match', question),
    async closePlayback({ playbackId }) {
      await playback.ask('close', { playbackId })
      return {}
    },
  }
}

function resolveSource(
  { catalogue, fitter }: Workplace,
  { target, draft, compare }: ParsedPlaybackSource,
): Resolved {
  if (target.kind === 'take') {
    const take = catalogue.takes.get(target.takeId)
    const stages = draft?.stages ?? []
    const planThrough = (count: number): RenderPlan =>
      planTake(take, micCurveOf(catalogue, take), stages.slice(0, count), target.sampleRateHz, fitter)
    return {
      listening: {
        plan: planThrough(compare?.toStage ?? stages.length),
        heard: { kind: 'stack' },
        comparedWith: compare && planThrough(compare.fromStage),
      },
      takes: [take],
    }
  }
  const { sessionId, heard } = placeOf(catalogue, target)
  const contents = readSessionContents(catalogue, sessionId)
  const { plan } = planSession(
    catalogue,
    fitter,
    contents,
    draft,
    heard.kind === 'layer' ? heard.layerId : undefined,
  )
  const used = new Set(plan.layers.map((layer) => layer.take.sha256))
  if (used.size === 0) {
    throw new Failure('empty', 'There is nothing to hear yet: place a take in the stack, or unmute a layer.')
  }
  return {
    listening: { plan, heard, comparedWith: null },
    takes: contents.takes.filter((take) => used.has(take.sha256)),
  }
}

function placeOf(
  catalogue: Workplace['catalogue'],
  target: Exclude<ParsedPlaybackSource['target'], { kind: 'take' }>,
): { sessionId: number; heard: Heard } {
  switch (target.kind) {
    case 'layer':
      return {
        sessionId: catalogue.layers.get(target.layerId).sessionId,
        heard: { kind: 'layer', layerId: target.layerId },
      }
    case 'group':
      return {
        sessionId: catalogue.groups.get(target.groupId).sessionId,
        heard: { kind: 'group', groupId: target.groupId },
      }
    case 'stack':
      return { sessionId: target.sessionId, heard: { kind: 'stack' } }
  }
}

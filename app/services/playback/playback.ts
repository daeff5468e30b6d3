// Playback: resolves the window's source into a plan that the playback thread renders.

import { randomUUID } from 'node:crypto'
import type { Layer, SessionContents } from '../../contract/entities.ts'
import { cancelledFailure, Failure } from '../../contract/failure.ts'
import { takeHashesOf } from '../../contract/passages/layer-takes.ts'
import type { OpenedPlayback, ParsedPlaybackSource } from '../../contract/playback.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { CallContext, Handlers } from '../../contract/wire/commands.ts'
import type { Listening } from '../../engine/mixes/playback-engine.ts'
import type { Heard } from '../../engine/mixes/processed-mix.ts'
import { closedPlaybackFailure, type PlaybackSettings } from '../../workers/playback-protocol.ts'
import {
  micCurveOf,
  planSession,
  planTake,
  readSessionContents,
  spanOfLayers,
} from '../sessions/plan-session.ts'
import { presentLayers } from '../sessions/present-layers.ts'
import {
  absentFailure,
  catalogueRoot,
  type FoundTake,
  locateTakes,
  missingFailure,
  readableTakes,
} from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { createPlaybackOwners } from './playback-owners.ts'

type PlaybackActs = 'openPlayback' | 'tunePlayback' | 'matchPlayback' | 'closePlayback'

interface Resolved {
  readonly listening: Listening
  readonly takes: readonly FoundTake[]
}

/** Handlers of the playback commands; every playback belongs to the page that opened it. */
export function playbackHandlers(workplace: Workplace): Pick<Handlers, PlaybackActs> {
  const { playback } = workplace
  const owners = createPlaybackOwners(async (playbackId) => {
    // If the thread has stopped, the playback is closed already.
    await playback.ask('close', { playbackId }).catch(() => {})
  })

  /** @param give sends the settings to the playback thread; must do so synchronously */
  const set = async (
    playbackId: string,
    source: ParsedPlaybackSource,
    signal: AbortSignal,
    give: (settings: PlaybackSettings) => Promise<null>,
  ): Promise<OpenedPlayback> => {
    const { listening, takes } = await resolveSource(workplace, source)
    const { plan } = listening
    const takePaths = await readableTakes(workplace, takes, signal)
    if (signal.aborted) throw cancelledFailure()
    await give({ playbackId, listening, takePaths })
    return { playbackId, sampleRateHz: plan.sampleRateHz, startFrame: plan.startFrame, frames: plan.frames }
  }
  const refuseForeign = (playbackId: string, page: CallContext['page']): void => {
    if (!owners.has(playbackId, page)) throw closedPlaybackFailure()
  }

  return {
    openPlayback: (source, { signal, page }) =>
      set(randomUUID(), source, signal, async (settings) => {
        const { playbackId } = settings
        // Added before the call: the thread handles calls in order, so if the page ends meanwhile, the close
        // arrives after the open.
        owners.add(playbackId, page)
        try {
          await playback.ask('open', settings)
          if (signal.aborted) throw cancelledFailure()
          return null
        } catch (error) {
          await owners.close(playbackId)
          throw error
        }
      }),
    async tunePlayback({ playbackId, source }, { signal, page }) {
      refuseForeign(playbackId, page)
      return set(playbackId, source, signal, (settings) => playback.ask('tune', settings))
    },
    async matchPlayback(question, { page, signal }) {
      refuseForeign(question.playbackId, page)
      return playback.ask('match', question, { signal })
    },
    async closePlayback({ playbackId }, { page }) {
      if (owners.has(playbackId, page)) await owners.close(playbackId)
      return {}
    },
  }
}

async function resolveSource(
  { catalogue, fitter, verifiedFiles }: Workplace,
  { target, draft, compare, lowerDb, solo, tried }: ParsedPlaybackSource,
): Promise<Resolved> {
  const root = catalogueRoot(catalogue.path)
  if (target.kind === 'take') {
    const take = catalogue.takes.get(target.takeId)
    const stages = draft?.stages ?? []
    const planThrough = (count: number): RenderPlan =>
      planTake(take, micCurveOf(catalogue, take), stages.slice(0, count), target.sampleRateHz, fitter)
    const { found, absent } = await locateTakes(verifiedFiles, root, [take], true)
    if (absent.length > 0) throw absentFailure(absent[0])
    return {
      listening: {
        plan: lowered(planThrough(compare?.toStage ?? stages.length), lowerDb),
        heard: { kind: 'stack' },
        comparedWith: compare && planThrough(compare.fromStage),
      },
      takes: found,
    }
  }
  const { sessionId, heard } = placeOf(catalogue, target)
  const all = readSessionContents(catalogue, sessionId)
  const soloed = heard.kind === 'layer' ? null : solo
  const alsoLayerId = heard.kind === 'layer' ? heard.layerId : undefined
  const { layers, found, missing } = await presentLayers(
    verifiedFiles,
    root,
    all.takes,
    soloed === null ? all.layers : soloedLayers(all.layers, soloed),
    { alsoLayerId, isBrief: true },
  )
  if (alsoLayerId !== undefined) {
    const { takeId } = catalogue.layers.get(alsoLayerId)
    const absent = missing.find(({ take }) => take.id === takeId)
    if (absent !== undefined) throw absentFailure(absent)
  }
  const contents = { ...all, layers: [...layers] }
  const isTried = tried !== null && heard.kind === 'stack'
  const heardContents = isTried ? withTried(contents, tried) : contents
  const { plan: planned } = planSession(catalogue, fitter, heardContents, draft, alsoLayerId)
  // The song stays as long as without solo and with all takes, so that the place in it stays.
  const plan =
    soloed === null && missing.length === 0
      ? planned
      : { ...planned, ...spanOfSession(all, soloed ?? (alsoLayerId === undefined ? [] : [alsoLayerId])) }
  const used = takeHashesOf(plan.layers)
  if (used.size === 0 && missing.length > 0) throw missingFailure(missing, 'There is nothing to hear')
  if (used.size === 0) {
    throw new Failure('empty', 'There is nothing to hear yet: place a take in the stack, or unmute a layer.')
  }
  if (!isTried) return { listening: { plan, heard, comparedWith: null }, takes: found }
  const { plan: saved } = planSession(catalogue, fitter, contents)
  const span = spanOfBoth(plan, saved)
  return {
    listening: { plan: lowered({ ...plan, ...span }, lowerDb), heard, comparedWith: { ...saved, ...span } },
    takes: found,
  }
}

const withTried = (
  contents: SessionContents,
  tried: NonNullable<ParsedPlaybackSource['tried']>,
): SessionContents => ({
  ...contents,
  layers: contents.layers.map((layer) => {
    const changes = tried.find(({ layerId }) => layerId === layer.id)?.changes ?? {}
    return {
      ...layer,
      gainDb: changes.gainDb ?? layer.gainDb,
      offsetSamples: changes.offsetSamples ?? layer.offsetSamples,
      muted: changes.muted ?? layer.muted,
      polarityInverted: changes.polarityInverted ?? layer.polarityInverted,
    }
  }),
})

/** A layer that is tried elsewhere or muted may change where the song begins and ends; both sides are one song. */
function spanOfBoth(a: RenderPlan, b: RenderPlan): Pick<RenderPlan, 'startFrame' | 'frames'> {
  const startFrame = Math.min(a.startFrame, b.startFrame)
  return {
    startFrame,
    frames: Math.max(a.startFrame + a.frames, b.startFrame + b.frames) - startFrame,
  }
}

/** Behind the chains, so that no stage works differently. */
const lowered = (plan: RenderPlan, byDb: number): RenderPlan => ({
  ...plan,
  groups: plan.groups.map((group) => ({ ...group, gainDb: group.gainDb - byDb })),
})

/** What solo lets through, muted or not. */
const soloedLayers = (layers: readonly Layer[], soloed: readonly number[]): Layer[] =>
  layers.filter((layer) => soloed.includes(layer.id)).map((layer) => ({ ...layer, muted: false }))

/** Start and length that the session has with all takes and without solo, or longer if a muted layer that is heard is. */
function spanOfSession({ session, layers, takes }: SessionContents, soloed: readonly number[]) {
  const takeOf = new Map(takes.map((take) => [take.id, take]))
  return spanOfLayers(
    layers
      .filter((layer) => !layer.muted || soloed.includes(layer.id))
      .flatMap(({ offsetSamples, takeId }) => {
        const take = takeOf.get(takeId)
        return take === undefined ? [] : [{ offsetSamples, take }]
      }),
    session.sampleRateHz,
  )
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

// Builds the render plan of a session. It is self-contained: rendering reads nothing from the catalogue.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { ChainStage } from '../../contract/chain-document.ts'
import type { CurvePoints } from '../../contract/curve.ts'
import type { ChainVersion, Group, Layer, SessionContents, Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { ParsedPlaybackSource } from '../../contract/playback.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import { MAX_GROUPS, MAX_LAYERS } from '../../contract/text/limits.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'
import { layerSetups, sumSetups } from '../chains/resolve-stages.ts'
import type { CorrectionFitter } from '../mics/correction-fitter.ts'
import { type PlacedLayer, placeOfLayer } from './layer-place.ts'

/** A session with all that belongs to it. */
export function readSessionContents(catalogue: Catalogue, sessionId: number): SessionContents {
  const session = catalogue.sessions.get(sessionId)
  const groups = catalogue.groups.listOfSession(sessionId)
  const versionIds = new Set(
    [session.sharedChainVersionId, ...groups.map((group) => group.chainVersionId)].filter(
      (id) => id !== null,
    ),
  )
  return {
    session,
    takes: catalogue.takes.listOfSession(sessionId),
    groups,
    layers: catalogue.layers.listOfSession(sessionId),
    sections: catalogue.sections.listOfSession(sessionId),
    chainVersions: [...versionIds].map((id) => catalogue.chains.version(id)),
  }
}

/** The curve of a take's mic: the one chosen for the take, else the mic's oldest. */
export function micCurveOf(catalogue: Catalogue, take: Take): CurvePoints | null {
  if (take.curveId !== null) return catalogue.curves.get(take.curveId).points
  if (take.micId === null) return null
  return catalogue.curves.firstOf(take.micId)?.points ?? null
}

/** A plan, with one sentence for each thing that the engineer should know about it. */
export interface SessionPlan {
  readonly plan: RenderPlan
  readonly remarks: readonly string[]
}

/**
 * @param draft unsaved stages that replace the saved chain of one group, or the shared chain (groupId null)
 * @param alsoLayerId a layer that is planned even if it is muted
 */
export function planSession(
  catalogue: Catalogue,
  fitter: CorrectionFitter,
  { session, takes, groups, layers, chainVersions }: SessionContents,
  draft: ParsedPlaybackSource['draft'] = null,
  alsoLayerId?: number,
): SessionPlan {
  const { sampleRateHz } = session
  const isShared = session.chainSharing === 'shared'
  /** Names of the layers that each remark concerns. */
  const concerned = new Map<string, string[]>()
  const note = (remark: string, { name }: Layer): void => {
    const names = concerned.get(remark)
    if (names === undefined) concerned.set(remark, [name])
    else names.push(name)
  }

  const stagesOfVersion = (id: number | null): readonly ChainStage[] =>
    chainVersions.find((version: ChainVersion) => version.id === id)?.stages ?? []
  const chainOf = (group: Group): readonly ChainStage[] => {
    const key = isShared ? null : group.id
    if (draft !== null && draft.groupId === key) return draft.stages
    return stagesOfVersion(isShared ? session.sharedChainVersionId : group.chainVersionId)
  }

  const planLayer = (layer: Layer): PlannedLayer => {
    const take = takes.find((one) => one.id === layer.takeId)
    const group = groups.find((one) => one.id === layer.groupId)
    if (take === undefined || group === undefined)
      throw new Error(`layer ${layer.id} has lost its take or group`)
    const { setups, remarks: why } = layerSetups(
      chainOf(group),
      micCurveOf(catalogue, take),
      sampleRateHz,
      fitter,
    )
    for (const remark of why) note(remark, layer)
    if (take.sampleRateHz !== sampleRateHz) {
      note(`converted from ${take.sampleRateHz} Hz to the session’s ${sampleRateHz} Hz.`, layer)
    }
    return {
      id: layer.id,
      groupId: layer.groupId,
      name: layer.name,
      role: layer.role,
      take: sourceOf(take),
      offsetSamples: layer.offsetSamples,
      gainDb: layer.gainDb,
      pan: layer.pan,
      ...(layer.polarityInverted ? { polarityInverted: true as const } : {}),
      stages: setups,
    }
  }

  const used = layers.filter((layer) => !layer.muted || layer.id === alsoLayerId)
  if (used.length > MAX_LAYERS || groups.length > MAX_GROUPS) {
    throw new Failure(
      'conflict',
      `${session.songTitle} has ${used.length} layers in ${groups.length} groups, and at most ${MAX_LAYERS} in ${MAX_GROUPS} sound together; mute or remove some.`,
      { layers: used.length, groups: groups.length },
    )
  }
  const planned = used.map(planLayer)

  return {
    remarks: [...concerned].map(([remark, names]) => `${whichLayers(names)}: ${remark}`),
    plan: {
      sampleRateHz,
      panLaw: session.panLaw,
      ...spanOfLayers(planned, sampleRateHz),
      sharing: session.chainSharing,
      sharedStages: isShared && groups.length > 0 ? sumSetups(chainOf(groups[0])) : [],
      groups: groups.map((group) => ({
        id: group.id,
        name: group.name,
        gainDb: group.gainDb,
        stages: isShared ? [] : sumSetups(chainOf(group)),
      })),
      layers: planned,
    },
  }
}

/** Few layers by name, many by their number, so that one remark is one line however many it concerns. */
const whichLayers = (names: readonly string[]): string =>
  names.length <= MAX_NAMED_LAYERS ? names.join(', ') : `${names.length} layers`

const MAX_NAMED_LAYERS = 3

/**
 * Start and length of a stack in frames. It starts at session time zero, or earlier if a layer does, so
 * that no sound is cut off, and ends with the last layer.
 */
export function spanOfLayers(
  layers: readonly PlacedLayer[],
  sampleRateHz: number,
): Pick<RenderPlan, 'startFrame' | 'frames'> {
  const places = layers.map((layer) => placeOfLayer(layer, sampleRateHz))
  const startFrame = Math.min(0, ...places.map(({ from }) => from))
  const endFrame = Math.max(0, ...places.map(({ to }) => to))
  return { startFrame, frames: endFrame - startFrame }
}

const sourceOf = ({ sha256, sampleRateHz, channels, frames, encoding }: Take): PlannedLayer['take'] => ({
  sha256,
  sampleRateHz,
  channels,
  frames,
  encoding,
})

/** The plan that the Chain place plays: one take, centred and at offset 0, through the given stages. */
export function planTake(
  take: Take,
  micCurve: CurvePoints | null,
  stages: readonly ChainStage[],
  sampleRateHz: number,
  fitter: CorrectionFitter,
): RenderPlan {
  return {
    sampleRateHz,
    panLaw: 'minus-3-db',
    startFrame: 0,
    frames: convertedFrames(take.frames, take.sampleRateHz, sampleRateHz),
    sharing: 'own',
    sharedStages: [],
    groups: [{ id: 1, name: take.name, gainDb: 0, stages: sumSetups(stages) }],
    layers: [
      {
        id: 1,
        groupId: 1,
        name: take.name,
        role: 'lead',
        take: sourceOf(take),
        offsetSamples: 0,
        gainDb: 0,
        pan: 0,
        stages: layerSetups(stages, micCurve, sampleRateHz, fitter).setups,
      },
    ],
  }
}

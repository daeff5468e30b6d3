// Which stems a bounce writes, and under which names.

import { codingHistoryLine } from '../../audio/wave/broadcast.ts'
import type { Manifest } from '../../contract/manifest.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { StemEncoding } from '../../contract/wire/commands.ts'
import { ditherSeedOf } from '../../dsp/conversion/dither.ts'
import { type UnitPlan, unitsOf } from '../../engine/rendering/render-unit.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { distinctFileName, fileWord } from './file-words.ts'

/** A stem before it is rendered. */
export interface StemToWrite {
  readonly kind: 'group' | 'layer'
  readonly sourceId: number
  readonly name: string
  readonly file: string
  readonly channels: number
  readonly encoding: StemEncoding
  readonly ditherSeed: number | null
  /** Absent in manifests of version 1. */
  readonly originatorReference?: string | undefined
  /** The same for all stems of a unit; null until it is determined. */
  readonly ceilingTrimDb: number | null
}

/** Stems of each unit of the plan, in the order of `unitsOf`. */
export function stemsOfPlan(
  plan: RenderPlan,
  song: string,
  encoding: StemEncoding,
  layerStems: boolean,
): readonly (readonly StemToWrite[])[] {
  const taken = new Set<string>()
  const units = unitsOf(plan)
  // Groups are named before layers, so that of two groups of one name the second in the stack has the number 2.
  const ofGroups = units.map((unit) =>
    unit.groups.map((group) =>
      stemOf(taken, song, plan, encoding, {
        kind: 'group',
        sourceId: group.id,
        name: group.name,
        channels: 2,
        isExact: false,
      }),
    ),
  )
  return units.map((unit, i) => [
    ...ofGroups[i],
    ...(layerStems ? unit.layers : []).map((layer) =>
      stemOf(taken, song, plan, encoding, {
        kind: 'layer',
        sourceId: layer.id,
        name: `${unit.groups.find((group) => group.id === layer.groupId)?.name} ${layer.name}`,
        channels: layer.take.channels,
        isExact: isExact(plan, unit, layer),
      }),
    ),
  ])
}

/** Whether every sample of a layer's stem equals the take's sample, so that dither would only add noise. */
function isExact(plan: RenderPlan, unit: UnitPlan, layer: PlannedLayer): boolean {
  const group = unit.groups.find((one) => one.id === layer.groupId)
  return (
    layer.gainDb === 0 &&
    group?.gainDb === 0 &&
    layer.stages.length === 0 &&
    group.stages.length === 0 &&
    plan.sharedStages.length === 0 &&
    layer.take.sampleRateHz === plan.sampleRateHz &&
    ['pcm-8', 'pcm-16', 'pcm-24'].includes(layer.take.encoding)
  )
}

function stemOf(
  taken: Set<string>,
  song: string,
  plan: RenderPlan,
  encoding: StemEncoding,
  { isExact, ...stem }: Pick<StemToWrite, 'kind' | 'sourceId' | 'name' | 'channels'> & { isExact: boolean },
): StemToWrite {
  // Parts joined by underscores, words capitalised, no spaces or accents: the file naming of
  // the Recording Academy's delivery recommendations (2018 edition, read in a summary).
  const rate = `${plan.sampleRateHz / 1000}k`.replace('.', 'p')
  const tail = `${rate}${encoding === 'pcm-24' ? '24b' : '32f'}.wav`
  const file = distinctFileName(taken, [fileWord(song), fileWord(stem.name)], tail)
  const identity = hashOfValue({ plan, file })
  const ditherSeed = encoding === 'float-32' || isExact ? null : ditherSeedOf(identity)
  const originatorReference = identity.slice(0, 32)
  return { ...stem, file, encoding, ditherSeed, originatorReference, ceilingTrimDb: null }
}

/** A stem's bext chunk. Its date is the session's, so that bouncing again gives the same bytes. */
export function broadcastOf(
  manifest: Pick<Manifest, 'program' | 'artist' | 'song' | 'sessionDate' | 'timeReferenceSamples' | 'plan'>,
  stem: StemToWrite,
) {
  const { program } = manifest
  return {
    description: `${manifest.artist}: ${manifest.song}, ${stem.name}`.slice(0, 256),
    originator: program.name,
    originatorReference: stem.originatorReference ?? `${program.name} ${program.version}`,
    originationDate: manifest.sessionDate,
    originationTime: '00:00:00',
    timeReferenceSamples: manifest.timeReferenceSamples,
    codingHistory: codingHistoryLine(
      { sampleRateHz: manifest.plan.sampleRateHz, channels: stem.channels, encoding: stem.encoding },
      `${program.name} ${program.version}`,
    ),
  }
}

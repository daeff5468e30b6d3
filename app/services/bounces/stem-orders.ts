// Which stems a bounce writes, and under which names.

import { type BroadcastInfo, codingHistoryLine } from '../../audio/wave/broadcast.ts'
import type { DeliveryEncoding } from '../../contract/delivery/delivery-request.ts'
import type { Manifest, Stem } from '../../contract/manifest.ts'
import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { SongSpan } from '../../contract/sections/song-range.ts'
import type { StemEncoding } from '../../contract/wire/commands.ts'
import { ditherSeedOf } from '../../dsp/conversion/dither.ts'
import { type UnitPlan, unitsOf } from '../../engine/rendering/render-unit.ts'
import { spanOf } from '../../engine/rendering/stem-output.ts'
import { distinctFileName, fileWord } from '../../formats/names/file-words.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'
import { isInSpan } from '../sessions/span-of-range.ts'
import { fileIdentity } from './file-identity.ts'
import { type Rendering, type RenderOptions, renderStems } from './render-stems.ts'

/** What of a manifest stands in the files. */
type DescribedBounce = Pick<
  Manifest,
  'program' | 'artist' | 'song' | 'sessionDate' | 'timeReferenceSamples' | 'plan' | 'span'
>

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

/**
 * Stems of each unit of the plan, in the order of `unitsOf`.
 * @param span leaves out what does not sound in it, and its name is in those of the files; null for the whole song
 */
export function stemsOfPlan(
  plan: RenderPlan,
  span: SongSpan | null,
  song: string,
  encoding: StemEncoding,
  layerStems: boolean,
): readonly (readonly StemToWrite[])[] {
  const taken = new Set<string>()
  const units = unitsOf(plan)
  const sounds = (layer: PlannedLayer): boolean => span === null || isInSpan(layer, plan.sampleRateHz, span)
  // Groups are named before layers, so that of two groups of one name the second in the stack has the number 2.
  const ofGroups = units.map((unit) =>
    unit.groups
      .filter(({ id }) => unit.layers.some((layer) => layer.groupId === id && sounds(layer)))
      .map((group) =>
        stemOf(taken, song, plan, span, encoding, {
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
    ...(layerStems ? unit.layers.filter(sounds) : []).map((layer) =>
      stemOf(taken, song, plan, span, encoding, {
        kind: 'layer',
        sourceId: layer.id,
        name: `${unit.groups.find((group) => group.id === layer.groupId)?.name} ${layer.name}`,
        channels: channelsOfLayer(layer),
        isExact: isExact(plan, unit, layer, encoding, plan.sampleRateHz),
      }),
    ),
  ])
}

/**
 * Whether every sample of a layer's stem equals the take's sample, so that dither would only add noise.
 * @param encoding and rate of the file
 */
export function isExact(
  plan: RenderPlan,
  unit: UnitPlan,
  layer: PlannedLayer,
  encoding: DeliveryEncoding,
  sampleRateHz: number,
): boolean {
  const group = unit.groups.find((one) => one.id === layer.groupId)
  return (
    layer.gainDb === 0 &&
    layer.passages === undefined &&
    group?.gainDb === 0 &&
    layer.stages.length === 0 &&
    group.stages.length === 0 &&
    plan.sharedStages.length === 0 &&
    layer.take.sampleRateHz === plan.sampleRateHz &&
    sampleRateHz === plan.sampleRateHz &&
    WORDS_WITHIN[encoding].includes(layer.take.encoding)
  )
}

/** Encodings of takes whose every sample is a word of the file's format. */
const WORDS_WITHIN: Readonly<Record<DeliveryEncoding, readonly string[]>> = {
  'pcm-16': ['pcm-8', 'pcm-16'],
  'pcm-24': ['pcm-8', 'pcm-16', 'pcm-24'],
  'float-32': [],
}

function stemOf(
  taken: Set<string>,
  song: string,
  plan: RenderPlan,
  span: SongSpan | null,
  encoding: StemEncoding,
  { isExact, ...stem }: Pick<StemToWrite, 'kind' | 'sourceId' | 'name' | 'channels'> & { isExact: boolean },
): StemToWrite {
  // Parts joined by underscores, words capitalised, no spaces or accents: the file naming of
  // the Recording Academy's delivery recommendations (2018 edition, read in a summary).
  const rate = `${plan.sampleRateHz / 1000}k`.replace('.', 'p')
  const tail = `${rate}${encoding === 'pcm-24' ? '24b' : '32f'}.wav`
  const part = span === null ? [] : [fileWord(span.name)]
  const file = distinctFileName(taken, [fileWord(song), ...part, fileWord(stem.name)], tail)
  const identity = fileIdentity(plan, span, file)
  const ditherSeed = encoding === 'float-32' || isExact ? null : ditherSeedOf(identity)
  const originatorReference = identity.slice(0, 32)
  return { ...stem, file, encoding, ditherSeed, originatorReference, ceilingTrimDb: null }
}

/** The stems of a manifest that describes `described`, rendered into a folder. */
export async function renderBounce(
  pool: Pool,
  described: DescribedBounce,
  unitStems: readonly (readonly StemToWrite[])[],
  takePaths: TakePaths,
  folder: string,
  options: RenderOptions,
): Promise<Stem[]> {
  const { plan, span } = described
  const rendering: Rendering<StemToWrite> = {
    ...{ plan, span: { ...spanOf(plan), ...span }, takePaths, folder },
    metadataOf: (stem) => ({ broadcast: broadcastOf(described, stem) }),
    asFloat: (stem) => ({
      ...stem,
      file: stem.file.replace(/24b\.wav$/, '32f.wav'),
      encoding: 'float-32',
      ditherSeed: null,
    }),
  }
  const rendered = await renderStems(pool, rendering, unitStems, options)
  return rendered.flat().map(({ stem, ceilingTrimDb, sha256, ...written }) => ({
    ...stem,
    ceilingTrimDb,
    sha256,
    integratedLufs: written.integratedLufs,
    loudnessRangeLu: written.loudnessRangeLu,
    truePeakDbtp: written.truePeakDbtp,
    samplePeakDbfs: written.samplePeakDbfs,
  }))
}

/** A stem's bext chunk. Its date is the session's, so that bouncing again gives the same bytes. */
function broadcastOf(manifest: DescribedBounce, stem: StemToWrite): BroadcastInfo {
  const { program, span } = manifest
  const part = span === null ? '' : `${span.name}, `
  return {
    description: `${manifest.artist}: ${manifest.song}, ${part}${stem.name}`.slice(0, 256),
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

// A rendered file of a delivery before it is rendered, and what stands in it beside its sound. Everything here comes
// from the manifest, so that a verification writes the same bytes.

import { codingHistoryLine } from '../../audio/wave/broadcast.ts'
import type { DeliveryManifest, RenderedFile } from '../../contract/delivery/delivery-manifest.ts'
import type { FileSpan } from '../../engine/rendering/stem-output.ts'
import type { FileMarker } from '../../formats/markers/file-marker.ts'
import { infoChunk } from '../../formats/wave/info-chunk.ts'
import { ixmlChunk } from '../../formats/wave/ixml.ts'
import { markerChunks } from '../../formats/wave/marker-chunks.ts'
import type { OrderedStem, StemMetadata } from '../bounces/render-stems.ts'

/** A file to render. `kind` is what the engine renders: an aligned take is a layer of the plan without processing. */
export interface DeliveredStem extends OrderedStem {
  readonly delivered: RenderedFile['kind']
  readonly name: string
  readonly channels: number
  readonly originatorReference: string
  /** Its name if it has to be 32-bit float. */
  readonly floatFile: string
}

/** What of a manifest stands in the files. */
export type DescribedDelivery = Pick<
  DeliveryManifest,
  | 'program'
  | 'artist'
  | 'song'
  | 'sessionDate'
  | 'timeReferenceSamples'
  | 'sampleRateHz'
  | 'plan'
  | 'span'
  | 'markers'
  | 'chains'
>

/** What of the plan the files hold, and their rate. */
export const fileSpanOf = ({
  span,
  sampleRateHz,
}: Pick<DescribedDelivery, 'span' | 'sampleRateHz'>): FileSpan => ({
  startFrame: span.startFrame,
  frames: span.frames,
  sampleRateHz,
})

/** The same file in a format that cannot clip. */
export const asFloat = <S extends DeliveredStem>(stem: S): S => ({
  ...stem,
  file: stem.floatFile,
  encoding: 'float-32',
  ditherSeed: null,
})

/** Markers and sections that are in the span, cut to it, by sample of the files and in their order. */
export function fileMarkers(
  { markers, span, plan }: Pick<DescribedDelivery, 'markers' | 'span' | 'plan'>,
  sampleRateHz: number,
): FileMarker[] {
  const toFile = (frame: number): number =>
    Math.round(((frame - span.startFrame) * sampleRateHz) / plan.sampleRateHz)
  const end = span.startFrame + span.frames
  return markers
    .filter(
      ({ startFrame, frames }) => startFrame < end && startFrame + Math.max(1, frames) > span.startFrame,
    )
    .map(({ name, startFrame, frames, note }) => {
      const from = toFile(Math.max(startFrame, span.startFrame))
      return { name, startFrame: from, frames: toFile(Math.min(startFrame + frames, end)) - from, note }
    })
    .map((marker) => ({ ...marker, frames: Math.max(0, marker.frames) }))
    .sort((one, other) => one.startFrame - other.startFrame)
}

const BITS = { 'pcm-16': 16, 'pcm-24': 24, 'float-32': 32 } as const

/** The bext chunk, then markers, texts and iXML. The date is the session's: no clock stands in a file. */
export function metadataOf(described: DescribedDelivery, stem: DeliveredStem): StemMetadata {
  const { program, artist, song, sampleRateHz, timeReferenceSamples } = described
  const what = `${WHAT[stem.delivered]}, ${stem.name}`
  const software = `${program.name} ${program.version}`
  const markers = fileMarkers(described, sampleRateHz)
  return {
    broadcast: {
      description: `${artist}: ${song}, ${what}`.slice(0, 256),
      originator: program.name,
      originatorReference: stem.originatorReference,
      originationDate: described.sessionDate,
      originationTime: '00:00:00',
      timeReferenceSamples,
      codingHistory: historyOf(described, stem),
    },
    trailing: Buffer.concat([
      markerChunks(markers),
      infoChunk({ title: `${song}, ${stem.name}`, artist, comment: what, software }),
      ixmlChunk({
        project: `${artist}: ${song}`,
        take: stem.name,
        note: what,
        fileUid: stem.originatorReference,
        sampleRateHz,
        bits: BITS[stem.encoding],
        timeReferenceSamples,
        channels: stem.channels,
        function: functionOf(described, stem),
        markers,
      }),
    ]),
  }
}

const WHAT: Readonly<Record<RenderedFile['kind'], string>> = {
  group: 'processed group',
  layer: 'processed layer',
  aligned: 'unprocessed take at its place',
  reference: 'reference of the stack as heard',
}

const functionOf = ({ plan }: DescribedDelivery, { kind, sourceId, delivered }: DeliveredStem): string =>
  delivered === 'reference' || kind === 'group'
    ? 'VOCAL'
    : (plan.layers.find(({ id }) => id === sourceId)?.role ?? 'vocal').toUpperCase()

/** EBU R 98: one line for the take where there is one, then one for this file. */
function historyOf({ plan, chains, program, sampleRateHz }: DescribedDelivery, stem: DeliveredStem): string {
  const layer = stem.kind === 'layer' ? plan.layers.find(({ id }) => id === stem.sourceId) : undefined
  const groupId = stem.kind === 'group' ? stem.sourceId : layer?.groupId
  const chain =
    stem.delivered === 'reference' ? undefined : chains.find((one) => [null, groupId].includes(one.groupId))
  const how =
    stem.delivered === 'aligned'
      ? 'unprocessed'
      : stem.delivered === 'reference'
        ? 'whole stack'
        : chain === undefined
          ? 'no chain'
          : `chain ${chain.sha256.slice(0, 4)} v${chain.number}`
  const dither = stem.encoding === 'float-32' ? '32 bit float' : stem.ditherSeed === null ? 'exact' : 'TPDF'
  return [
    ...(layer === undefined ? [] : [historyLine(layer.take, `take ${layer.take.sha256.slice(0, 12)}`)]),
    historyLine(
      { sampleRateHz, channels: stem.channels, encoding: stem.encoding },
      `${program.name} ${program.version}; ${how}; ${dither}`,
    ),
  ].join('')
}

/** The word length ends at 24 bits in R 98, so a float has none. */
const historyLine = (format: Parameters<typeof codingHistoryLine>[0], text: string): string =>
  format.encoding.startsWith('float')
    ? codingHistoryLine(format, text).replace(/,W=\d+/, '')
    : codingHistoryLine(format, text)

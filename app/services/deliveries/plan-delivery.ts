// Plans a delivery: everything that is known before any sound is read. What is previewed is what is written.

import { extname } from 'node:path'
import { sampleBytesOf } from '../../audio/wave/wave-header.ts'
import type { DeliveryChange } from '../../contract/delivery/delivery-change.ts'
import type { DeliveryPreview, PlannedFile } from '../../contract/delivery/delivery-outcome.ts'
import { DELIVERY_MANIFEST } from '../../contract/delivery/delivery-place.ts'
import type { DeliverySource } from '../../contract/delivery/delivery-record.ts'
import type { DeliveryRequest } from '../../contract/delivery/delivery-request.ts'
import type { SessionContents, Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { takeHashesOf } from '../../contract/passages/layer-takes.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'
import { chainsUsed } from '../bounces/noted.ts'
import { timeReferenceOf } from '../bounces/time-stamp.ts'
import { PROGRAM } from '../program.ts'
import { planSession, readSessionContents } from '../sessions/plan-session.ts'
import { isInSpan, spanOfRange } from '../sessions/span-of-range.ts'
import type { Workplace } from '../workplace.ts'
import { type DescribedDelivery, fileSpanOf } from './delivered-stem.ts'
import { createNamer, deliveryFolderName, FOLDERS } from './delivery-names.ts'
import { type DeliveryOrders, orderDelivery } from './delivery-orders.ts'
import { changesBetween, sourceOf } from './made-from.ts'
import { markersOf } from './markers.ts'

/** A take that is delivered byte for byte. */
export interface RawTake {
  readonly take: Take
  /** Relative to the delivery. */
  readonly path: string
}

/** A delivery before anything of it is written. */
export interface PlannedDelivery {
  readonly request: DeliveryRequest
  readonly contents: SessionContents
  readonly number: number
  readonly folderName: string
  /** What its manifest says of it and its files hold. */
  readonly described: DescribedDelivery
  readonly orders: DeliveryOrders
  readonly raw: readonly RawTake[]
  /** Takes of all layers that are rendered, in the order of the layers. */
  readonly takes: readonly Take[]
  readonly source: DeliverySource
  readonly changes: readonly DeliveryChange[]
  readonly remarks: readonly string[]
  /** Whether the recall sheet is written as PDF as well. */
  readonly printsPdf: boolean
}

/**
 * @param isTaken whether a folder name is not free where the delivery goes; the next number is used then
 * @throws Failure `empty` where nothing would sound, `invalid-input` for a range that is not in the song
 */
export function planDelivery(
  { catalogue, fitter, printToPdf }: Pick<Workplace, 'catalogue' | 'fitter' | 'printToPdf'>,
  request: DeliveryRequest,
  isTaken: (folderName: string) => boolean = () => false,
): PlannedDelivery {
  const contents = readSessionContents(catalogue, request.sessionId)
  const { session } = contents
  const planned = planSession(catalogue, fitter, contents)
  if (planned.plan.layers.length === 0) {
    throw new Failure(
      'empty',
      `${session.songTitle} has nothing to deliver: place a take in the stack, or unmute a layer.`,
    )
  }
  const sampleRateHz = request.sampleRateHz ?? session.sampleRateHz
  const markers = markersOf(contents)
  const { plan, span } = spanOfRange(planned.plan, request.range, contents, sampleRateHz)
  const timeReference = timeReferenceOf(session, { startFrame: span.startFrame })
  const described: DescribedDelivery = {
    program: PROGRAM,
    artist: session.artistName,
    song: session.songTitle,
    sessionDate: session.date,
    // Whole, because the span starts where both rates have a sample.
    timeReferenceSamples: (timeReference * sampleRateHz) / session.sampleRateHz,
    sampleRateHz,
    plan,
    span,
    markers,
    chains: chainsUsed(contents),
  }
  const latest = catalogue.deliveries.latestSource(session.id)
  let number = (latest?.number ?? 0) + 1
  while (isTaken(deliveryFolderName(session, number))) number++

  const namer = createNamer(session, number, request.template)
  const orders = orderDelivery(plan, fileSpanOf(described), request.encoding, request.contents, namer)
  const takes = takesOf(contents, plan.layers)
  const sounding = plan.layers.filter((layer) => isInSpan(layer, plan.sampleRateHz, fileSpanOf(described)))
  const raw = (request.contents.raw ? takesOf(contents, sounding) : []).map((take) => ({
    take,
    path: namer.name({
      folder: FOLDERS.raw,
      ...{ kind: 'Raw', part: take.name, take: take.name },
      sampleRateHz: take.sampleRateHz,
      encoding: take.encoding,
      extension: rawExtension(take.path),
    }).path,
  }))
  if (raw.length === 0 && sounding.length === 0) {
    throw new Failure('empty', `Nothing of ${session.songTitle} sounds in ${span.name || 'this range'}.`)
  }
  const source = sourceOf(contents, plan, {
    ...{ sampleRateHz, markers },
    encoding: request.encoding,
    template: request.template,
    contents: request.contents,
    range: span.name,
  })
  return {
    ...{ request, contents, number, described, orders, raw, takes, source },
    folderName: deliveryFolderName(session, number),
    printsPdf: printToPdf !== null,
    changes: latest === undefined ? [] : changesBetween(latest, source),
    remarks: [
      ...planned.remarks,
      ...(sampleRateHz === session.sampleRateHz
        ? []
        : [`Rendered files are converted from ${session.sampleRateHz} Hz to ${sampleRateHz} Hz.`]),
    ],
  }
}

/** Each once, in the order of the layers: the order of the catalogue depends on which import ended first. */
function takesOf({ takes }: SessionContents, layers: RenderPlan['layers']): Take[] {
  const used = takeHashesOf(layers)
  return [...used].flatMap((sha256) => takes.find((take) => take.sha256 === sha256) ?? [])
}

/** The extension of the take's own file, which says what its bytes are. */
const rawExtension = (path: string): string =>
  /^\.[a-z0-9]{1,5}$/.exec(extname(path).toLowerCase())?.[0] ?? '.wav'

/** Room for headers and chunks of a sound file, and for a document. */
const AROUND_SOUND_BYTES = 4096
const DOCUMENT_BYTES = 16_384

/** What the plan will write, with sizes as estimated before any of it is written. */
export function previewOf(planned: PlannedDelivery): DeliveryPreview {
  const { described, orders, raw, contents, request } = planned
  const { plan, span, sampleRateHz, chains } = described
  const frames = convertedFrames(span.frames, plan.sampleRateHz, sampleRateHz)
  const files: PlannedFile[] = [
    ...[
      ...orders.processed.flat(),
      ...orders.aligned.flat(),
      ...(orders.reference ? [orders.reference] : []),
    ].map(({ file, delivered, name, channels, encoding }) => ({
      path: file,
      kind: delivered,
      name,
      bytes: frames * channels * sampleBytesOf(encoding) + AROUND_SOUND_BYTES,
    })),
    ...raw.map(({ take, path }) => ({
      path,
      kind: 'raw' as const,
      name: take.name,
      bytes: take.sizeBytes ?? take.frames * take.channels * 4,
    })),
    ...(planned.printsPdf ? DOCUMENTS : WITHOUT_PDF).map((path) => ({
      path,
      kind: 'document' as const,
      name: path,
      bytes: DOCUMENT_BYTES,
    })),
  ]
  return {
    number: planned.number,
    folderName: planned.folderName,
    example: files[0]!.path.split('/').at(-1)!,
    sampleRateHz,
    encoding: request.encoding,
    seconds: span.frames / plan.sampleRateHz,
    rangeName: span.name,
    chains:
      plan.sharing === 'shared'
        ? [chainWords('', chains[0])]
        : contents.groups
            .filter(({ id }) => plan.layers.some((layer) => layer.groupId === id))
            .map(({ id, name }) =>
              chainWords(
                name,
                chains.find(({ groupId }) => groupId === id),
              ),
            ),
    files,
    bytes: files.reduce((sum, { bytes }) => sum + bytes, 0),
    changes: [...planned.changes],
    remarks: [...planned.remarks],
  }
}

const chainWords = (of: string, chain: { name: string; number: number } | undefined) => ({
  of,
  name: chain?.name ?? '',
  number: chain?.number ?? 0,
})

/** Files that every delivery has. */
export const DOCUMENT_PATHS = {
  table: `${FOLDERS.session}/markers.csv`,
  midi: `${FOLDERS.session}/markers.mid`,
  timeline: `${FOLDERS.session}/session.otio`,
  sheet: `${FOLDERS.session}/recall.html`,
  /** Only where the program has a window that prints. */
  pdf: `${FOLDERS.session}/recall.pdf`,
  readme: 'README.txt',
  manifest: DELIVERY_MANIFEST,
  hashes: 'manifest-sha256.txt',
} as const
const DOCUMENTS: readonly string[] = Object.values(DOCUMENT_PATHS)
const WITHOUT_PDF = DOCUMENTS.filter((path) => path !== DOCUMENT_PATHS.pdf)

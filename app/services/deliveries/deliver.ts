// Delivers a session: everything that goes to the mix, in a numbered folder of its own, whole or not at all.

import { existsSync } from 'node:fs'
import { basename, join, relative, resolve } from 'node:path'
import type { DeliveredFile, DeliveryManifest } from '../../contract/delivery/delivery-manifest.ts'
import { DELIVERY_FORMAT, DELIVERY_FORMAT_VERSION } from '../../contract/delivery/delivery-manifest.ts'
import type { DeliveryOutcome } from '../../contract/delivery/delivery-outcome.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { CallContext, ParsedInputOf } from '../../contract/wire/commands.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { type DeliveryFolder, startNamedDelivery } from '../bounces/delivery-folder.ts'
import { noteDelivered } from '../bounces/noted.ts'
import { type WatchedTakes, watchTakes } from '../bounces/watched-takes.ts'
import { catalogueRoot, keptPath, missingFailure } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { copyRawTakes } from './copy-raw-takes.ts'
import { FOLDERS } from './delivery-names.ts'
import { createParts } from './delivery-parts.ts'
import { deliveryRemarks } from './delivery-remarks.ts'
import { hashList, hashOfText, writeDocument } from './documents-inside.ts'
import { DOCUMENT_PATHS, type PlannedDelivery, planDelivery, previewOf } from './plan-delivery.ts'
import { recallSheet } from './recall-sheet.ts'
import { renderDelivery } from './render-delivery.ts'
import { editList, markersAsMidi, markersAsTable, readme } from './session-documents.ts'

/**
 * Writes the next delivery of a session and notes it in the ledger.
 * @throws Failure; nothing is left then, unless only the ledger entry failed: the failure names the folder
 */
export async function deliverSession(
  workplace: Workplace,
  { folder, ...request }: ParsedInputOf<'deliver'>,
  context: CallContext,
): Promise<DeliveryOutcome> {
  const planned = planDelivery(workplace, request, (name) => existsSync(join(resolve(folder), name)))
  context.report(0, 'Checking the takes')
  const root = catalogueRoot(workplace.catalogue.path)
  const watched = await watchTakes(workplace, root, planned.takes, context.signal)
  if (watched.absent.length > 0) throw missingFailure(watched.absent, 'Nothing was delivered')
  const delivery = startNamedDelivery(folder, planned.folderName)
  try {
    return await writeDelivery(workplace, planned, watched, delivery, context)
  } catch (error) {
    throw namingAskedFor(error, delivery.target)
  } finally {
    delivery.discard()
  }
}

async function writeDelivery(
  workplace: Workplace,
  planned: PlannedDelivery,
  watched: WatchedTakes<Take>,
  delivery: DeliveryFolder,
  { signal, report }: CallContext,
): Promise<DeliveryOutcome> {
  const { catalogue, pool, printToPdf, now, emit } = workplace
  const { described, orders, raw, request, contents } = planned
  makeFolders(planned, delivery)
  const parts = createParts(report, {
    takes: raw.length > 0 ? 1 : 0,
    stems: orders.processed.some(({ length }) => length > 0) ? 6 : 0,
    aligned: orders.aligned.some(({ length }) => length > 0) ? 2 : 0,
    reference: orders.reference === null ? 0 : 5,
  })
  const { rendered, raws } = await (async () => {
    const raws = await copyRawTakes(
      raw,
      watched.found,
      delivery.path,
      signal,
      parts.progressOf('takes', 'Copying the takes'),
    )
    const done = await renderDelivery(pool, described, orders, watched.paths, delivery.path, signal, parts)
    return { rendered: done, raws }
  })().catch(async (error: unknown) => {
    // If a take was changed, that is the cause, whatever error the thread that read it reported.
    if (!signal.aborted) await watched.refuseTouched()
    throw error
  })
  await watched.refuseTouched()

  report(0.99, 'Writing the sheet and the hashes')
  const sound: DeliveredFile[] = [...rendered.files, ...raws]
  const document = (path: string, data: string | Uint8Array): DeliveredFile =>
    writeDocument(delivery.path, path, data)
  const remarks = [...planned.remarks, ...deliveryRemarks(described.plan, request, rendered.files)]
  const sheet = recallSheet(catalogue, planned, sound, remarks)
  const pdf = printToPdf === null ? null : await printToPdf(sheet, signal)
  const files: DeliveredFile[] = [
    ...sound,
    document(DOCUMENT_PATHS.table, markersAsTable(planned)),
    document(DOCUMENT_PATHS.midi, markersAsMidi(planned)),
    document(DOCUMENT_PATHS.timeline, editList(planned, sound)),
    document(DOCUMENT_PATHS.sheet, sheet),
    ...(pdf === null ? [] : [document(DOCUMENT_PATHS.pdf, pdf)]),
    document(DOCUMENT_PATHS.readme, readme(planned, sound)),
  ]
  const pathFromDelivery = (path: string): string =>
    relative(join(delivery.parent, 'delivery'), path).replaceAll('\\', '/')
  const manifest: DeliveryManifest = {
    format: DELIVERY_FORMAT,
    version: DELIVERY_FORMAT_VERSION,
    number: planned.number,
    ...described,
    takes: watched.found.map(({ take: { sha256, name }, path }) => ({
      ...{ sha256, name },
      path: pathFromDelivery(path),
    })),
    template: request.template,
    encoding: request.encoding,
    ceilingTrimsDb: [...rendered.ceilingTrimsDb],
    files,
    remarks,
  }
  const manifestText = `${JSON.stringify(manifest, null, 2)}\n`
  const manifestFile = document(DOCUMENT_PATHS.manifest, manifestText)
  document(DOCUMENT_PATHS.hashes, hashList([...files, manifestFile]))
  refuseOvertaken(catalogue, planned)

  const delivered = delivery.commit()
  const all = [...files, manifestFile]
  noteDelivered(
    () =>
      catalogue.deliveries.insert(
        {
          sessionId: contents.session.id,
          number: planned.number,
          folder: keptPath(catalogueRoot(catalogue.path), delivered),
          manifestSha256: hashOfText(manifestText),
          files: all.length,
          bytes: all.reduce((sum, { bytes }) => sum + bytes, 0),
          changes: [...planned.changes],
          madeFrom: planned.source,
          isForeign: false,
        },
        now(),
      ),
    delivered,
  )
  emit('catalogueChanged', { subjects: ['ledger'] })
  report(1, 'Delivered')
  const names = new Map(previewOf(planned).files.map(({ path, name }) => [path, name]))
  return {
    folder: delivered,
    manifest: join(delivered, DOCUMENT_PATHS.manifest),
    number: planned.number,
    files: all.map((file) => ({
      path: file.path,
      kind: file.kind,
      name: 'name' in file ? file.name : (names.get(file.path) ?? basename(file.path)),
      bytes: file.bytes,
      sha256: file.sha256,
      integratedLufs: 'integratedLufs' in file ? file.integratedLufs : null,
      truePeakDbtp: 'truePeakDbtp' in file ? file.truePeakDbtp : null,
    })),
    changes: [...planned.changes],
    remarks,
  }
}

/** The folders that get files; outer ones first. */
function makeFolders({ orders, raw }: PlannedDelivery, delivery: DeliveryFolder): void {
  const isIn = (units: readonly (readonly unknown[])[]): boolean => units.some(({ length }) => length > 0)
  if (isIn(orders.processed)) delivery.makeFolder(FOLDERS.processed)
  if (raw.length > 0 || isIn(orders.aligned)) delivery.makeFolder(FOLDERS.dry)
  if (raw.length > 0) delivery.makeFolder(FOLDERS.raw)
  if (isIn(orders.aligned)) delivery.makeFolder(FOLDERS.aligned)
  if (orders.reference !== null) delivery.makeFolder(FOLDERS.reference)
  delivery.makeFolder(FOLDERS.session)
}

/** Another window may have delivered the session meanwhile; two deliveries of one number could not be told apart. */
function refuseOvertaken(
  { deliveries }: Workplace['catalogue'],
  { contents, number }: PlannedDelivery,
): void {
  const newest = deliveries.latestSource(contents.session.id)?.number ?? 0
  if (newest < number) return
  throw new Failure(
    'conflict',
    `Delivery ${newest} of ${contents.session.songTitle} was finished meanwhile, so this one was not kept; deliver again.`,
    { number },
  )
}

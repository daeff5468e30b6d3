// Bounces a session: stems and their manifest, all or nothing.

import { basename, join, relative, resolve } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import type { SessionContents, Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { MANIFEST_FORMAT, MANIFEST_FORMAT_VERSION, type Manifest } from '../../contract/manifest.ts'
import { takeHashesOf } from '../../contract/passages/layer-takes.ts'
import type { BounceOutcome, CallContext, ParsedInputOf } from '../../contract/wire/commands.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { createFileInside } from '../../files/new-file.ts'
import { writeNewFile } from '../../files/write-file.ts'
import { fileWord } from '../../formats/names/file-words.ts'
import { PROGRAM } from '../program.ts'
import { planSession, readSessionContents } from '../sessions/plan-session.ts'
import { isInSpan, partOfSong } from '../sessions/span-of-range.ts'
import { catalogueRoot, type FoundTake, keptPath, missingFailure } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { type DeliveryFolder, MANIFEST_FILE, startDelivery } from './delivery-folder.ts'
import { chainsUsed, noteDelivered } from './noted.ts'
import { renderBounce, stemsOfPlan } from './stem-orders.ts'
import { formatRemarks, overCeilingRemarks, roughStemRemarks, sharedNameRemarks } from './stem-remarks.ts'
import { timeReferenceOf } from './time-stamp.ts'
import { type WatchedTakes, watchTakes } from './watched-takes.ts'

/** Share of the progress that checking the takes' hashes accounts for. */
const HASHING_SHARE = 0.05

/**
 * Renders the stems of a session into a new folder and records the bounce in the ledger.
 * @throws Failure; the folder is then removed, unless only the ledger entry failed: then the stems are
 *   complete, and the failure names their folder
 */
export async function bounceSession(
  workplace: Workplace,
  request: ParsedInputOf<'bounceSession'>,
  context: CallContext,
): Promise<BounceOutcome> {
  const prepared = await prepareBounce(workplace, request, context, 'Nothing was bounced')
  const { songTitle } = prepared.contents.session
  const delivery = startDelivery(request.folder, fileWord(songTitle))
  try {
    return await renderDelivery(workplace, request, context, prepared, delivery)
  } catch (error) {
    throw namingAskedFor(error, delivery.target)
  } finally {
    delivery.discard()
  }
}

/**
 * Plans a bounce and finds the takes that it needs. A part of the song needs all of them: its chains have heard what is
 * before it.
 * @param outcome such as 'Nothing was bounced'
 * @throws Failure `empty` for a stack or a part of it without sound, `invalid-input` for a range outside of the song; `vanished` or `changed` where takes are missing
 */
export async function prepareBounce(
  workplace: Workplace,
  { sessionId, range }: Pick<ParsedInputOf<'bounceSession'>, 'sessionId' | 'range'>,
  context: CallContext,
  outcome: string,
): Promise<PreparedBounce> {
  const { catalogue, fitter } = workplace
  const contents = readSessionContents(catalogue, sessionId)
  const { songTitle } = contents.session
  const { plan, remarks } = planSession(catalogue, fitter, contents)
  if (plan.layers.length === 0) {
    throw new Failure(
      'empty',
      `${songTitle} has nothing to bounce: place a take in the stack, or unmute a layer.`,
    )
  }
  const span = partOfSong(plan, range, contents)
  if (span !== null && !plan.layers.some((layer) => isInSpan(layer, plan.sampleRateHz, span))) {
    throw new Failure('empty', `Nothing of ${songTitle} sounds in ${span.name}.`)
  }
  const timeReferenceSamples = timeReferenceOf(contents.session, span ?? plan)
  const used = takeHashesOf(plan.layers)
  // In the order of the layers: the order of the catalogue depends on which import ended first.
  const takes = [...used].flatMap((sha256) => contents.takes.find((take) => take.sha256 === sha256) ?? [])
  context.report(0, 'Checking the takes')
  const root = catalogueRoot(catalogue.path)
  const watched = await watchTakes(workplace, root, takes, context.signal)
  if (watched.absent.length > 0) throw missingFailure(watched.absent, outcome)
  return { contents, plan, span, timeReferenceSamples, remarks, watched }
}

/** What a bounce renders, and from which files. */
export interface PreparedBounce {
  readonly contents: SessionContents
  readonly plan: Manifest['plan']
  readonly span: Manifest['span']
  readonly timeReferenceSamples: number
  readonly remarks: readonly string[]
  readonly watched: WatchedTakes<Take>
}

/** Renders into the unfinished folder, gives it its name, and records the bounce. */
async function renderDelivery(
  workplace: Workplace,
  { sessionId, folder, encoding, layerStems }: ParsedInputOf<'bounceSession'>,
  context: CallContext,
  prepared: PreparedBounce,
  delivery: DeliveryFolder,
): Promise<BounceOutcome> {
  const { catalogue, now, emit } = workplace
  const root = catalogueRoot(catalogue.path)
  // Relative, so that a folder with takes and bounces can be moved as a whole. The delivery's own
  // name does not matter for that, and is not known yet.
  const pathFromDelivery = (path: string): string =>
    relative(join(delivery.parent, 'delivery'), path).replaceAll('\\', '/')
  const { manifest, manifestSha256 } = await writeBounce(
    workplace,
    { encoding, layerStems },
    context,
    prepared,
    delivery.path,
    ({ path }) => pathFromDelivery(path),
  )
  const { stems } = manifest
  const delivered = delivery.commit()
  noteDelivered(
    () =>
      catalogue.bounces.insert(
        {
          sessionId,
          manifestPath: keptPath(root, join(delivered, MANIFEST_FILE)),
          manifestSha256,
          stems: stems.length,
          part: prepared.span?.name ?? '',
        },
        now(),
      ),
    delivered,
  )
  emit('catalogueChanged', { subjects: ['ledger'] })
  return {
    manifest: join(delivered, MANIFEST_FILE),
    stems: stems.map(
      ({
        name,
        channels,
        encoding,
        integratedLufs,
        loudnessRangeLu,
        truePeakDbtp,
        samplePeakDbfs,
        file,
      }) => ({
        ...{ name, channels, encoding, integratedLufs, loudnessRangeLu, truePeakDbtp, samplePeakDbfs },
        path: join(delivered, file),
      }),
    ),
    remarks:
      basename(delivered) === basename(folder)
        ? manifest.remarks
        : [`${resolve(folder)} is not empty, so this bounce is in ${delivered}.`, ...manifest.remarks],
  }
}

/**
 * Renders stems and manifest into an unfinished folder.
 * @param pathOf where the manifest says that a take is, relative to the finished folder
 */
export async function writeBounce(
  { pool }: Workplace,
  { encoding, layerStems }: Pick<ParsedInputOf<'bounceSession'>, 'encoding' | 'layerStems'>,
  { signal, report }: CallContext,
  { contents, plan, span, timeReferenceSamples, remarks, watched }: PreparedBounce,
  folder: string,
  pathOf: (found: FoundTake<Take>) => string,
): Promise<{ manifest: Manifest; manifestSha256: string }> {
  const { session } = contents
  const described = {
    program: PROGRAM,
    artist: session.artistName,
    song: session.songTitle,
    sessionDate: session.date,
    timeReferenceSamples,
    plan,
    span,
  }
  const stems = await renderBounce(
    pool,
    described,
    stemsOfPlan(plan, span, session.songTitle, encoding, layerStems),
    watched.paths,
    folder,
    {
      signal,
      onProgress: (fraction) => report(HASHING_SHARE + (1 - HASHING_SHARE) * fraction, 'Rendering the stems'),
    },
  ).catch(async (error: unknown) => {
    // If a take was changed, that is the cause, whatever error the thread that read it reported.
    if (!signal.aborted) await watched.refuseTouched()
    throw error
  })
  await watched.refuseTouched()
  const manifest: Manifest = {
    format: MANIFEST_FORMAT,
    version: MANIFEST_FORMAT_VERSION,
    ...described,
    takes: watched.found.map((found) => ({
      ...{ sha256: found.take.sha256, name: found.take.name },
      path: pathOf(found),
    })),
    chains: chainsUsed(contents),
    stems,
    remarks: [
      ...remarks,
      ...sharedNameRemarks(stems),
      ...formatRemarks(stems, encoding),
      ...(layerStems ? [...roughStemRemarks(plan), ...overCeilingRemarks(plan, stems)] : []),
    ],
  }
  const unfinishedManifest = join(folder, MANIFEST_FILE)
  writeNewFile(unfinishedManifest, `${JSON.stringify(manifest, null, 2)}\n`, createFileInside)
  const manifestSha256 = await hashFile(unfinishedManifest)
  return { manifest, manifestSha256 }
}

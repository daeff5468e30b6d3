// What archiving and restoring a session did, in sentences. Plain ASCII apart from names.

import type { ArchiveOutcome, RestoreOutcome } from '../contract/exchange/archive.ts'
import { formatBytes } from './format.ts'
import { countOf } from './numbers.ts'

const outputsOf = (count: number): string =>
  countOf(count, 'earlier bounce or delivery', 'earlier bounces and deliveries')

/** '1.4 MB', with the space that every terminal shows. */
const size = (bytes: number): string => formatBytes(bytes).replace(/\s/u, ' ')

/** What is in the archive, what of it was written now, and how many copies of the takes there are. */
export function archivedWords({
  bag,
  takes,
  stems,
  outputs,
  newBytes,
  linkedBytes,
  copies,
  remarks,
}: ArchiveOutcome): string[] {
  const parts = [
    countOf(takes, 'take'),
    countOf(stems, 'stem'),
    ...(outputs === 0 ? [] : [outputsOf(outputs)]),
  ]
  return [
    `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)} are in ${bag}.`,
    linkedBytes === 0
      ? `${size(newBytes)} were written; nothing was there from an earlier archive.`
      : `${size(newBytes)} were written; ${size(linkedBytes)} were there from an earlier archive, which shares those files with this one.`,
    `Each take is in at least ${countOf(copies, 'file')} of its own; files that archives share count once, so keep an archive on another disk.`,
    ...remarks,
  ]
}

/** What was copied, and whether the stems came out the same. */
export function restoredWords({
  copied,
  there,
  outputs,
  same,
  differing,
  remarks,
}: RestoreOutcome): string[] {
  return [
    `${countOf(copied, 'take')} copied, ${there} there already.`,
    ...(outputs === 0 ? [] : [`${outputsOf(outputs)} copied to beside the catalogue.`]),
    `${countOf(same.length, 'stem')} rendered to the same bytes.`,
    ...differing.map(({ stem, reason }) => `${stem} differs: ${reason}.`),
    ...remarks,
  ]
}

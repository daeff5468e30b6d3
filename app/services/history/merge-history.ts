// Merges a history of another computer into the catalogue: everything or nothing, and nothing of what is here is
// lost. Merging the same history again changes nothing.

import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { HistoryAnswers, HistoryMerge } from '../../contract/exchange/merge.ts'
import { Failure } from '../../contract/failure.ts'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../../files/ensure-folder.ts'
import { createPrivateFile } from '../../files/new-file.ts'
import { writeNewFile } from '../../files/write-file.ts'
import type { Workplace } from '../workplace.ts'
import { mergeChains, mergePins, mergeVersions } from './merge-chains.ts'
import { mergeCurves, mergeMics } from './merge-mics.ts'
import { mergeArtists, mergeSongs, mergeVoices } from './merge-people.ts'
import { mergeRecords, mergeSessions } from './merge-sessions.ts'
import { mergeTakes } from './merge-takes.ts'
import type { Merging } from './merging.ts'
import type { HistoryEntries } from './read-history.ts'

type Place = Pick<Workplace, 'catalogue' | 'folders' | 'now' | 'emit'>

/** Carries a preview out of its transaction, which is rolled back. */
class Preview extends Error {
  readonly done: HistoryMerge
  constructor(done: HistoryMerge) {
    super('a preview')
    this.done = done
  }
}

/**
 * What mergeHistory would do; changes nothing. Open questions are listed, and what hangs on them is shown as if the
 * artists were other people.
 * @throws Failure `invalid-input` for a history that refers to what it lacks
 */
export function previewHistory(
  place: Place,
  entries: HistoryEntries,
  answers: HistoryAnswers = [],
): HistoryMerge {
  try {
    return place.catalogue.transaction(() => {
      throw new Preview(merge(place, entries, answers).done)
    })
  } catch (error) {
    if (error instanceof Preview) return error.done
    throw error
  }
}

/**
 * Merges a history and notes it in the ledger; one transaction.
 * @throws Failure `conflict` while a question is open, `invalid-input` for a history that refers to what it lacks;
 *   the catalogue is then as it was
 */
export function mergeHistory(
  place: Place,
  entries: HistoryEntries,
  answers: HistoryAnswers = [],
): HistoryMerge {
  const { catalogue, folders } = place
  // First, because a catalogue may name only pictures that are there; one that is not used does no harm.
  keepPictures(folders.pictures, entries)
  const done = catalogue.transaction(() => {
    const merging = merge(place, entries, answers)
    refuseQuestions(merging.done)
    noteInLedger(merging, place.now())
    return merging.done
  })
  place.emit('catalogueChanged', {
    subjects: ['artists', 'mics', 'sessions', 'takes', 'stack', 'chains', 'ledger'],
  })
  return done
}

function merge(place: Place, entries: HistoryEntries, answers: HistoryAnswers): Merging {
  const { catalogue } = place
  const done: HistoryMerge = { voices: [], added: [], changed: [], conflicts: [], questions: [] }
  const ownMachines = catalogue.identities.ownMachines()
  const leftOut = new Set<string>()
  const merging: Merging = { catalogue, entries, answers, now: place.now(), ownMachines, done, leftOut }
  for (const machine of entries.history.machines) catalogue.identities.addMachine(machine)
  mergeArtists(merging)
  mergeVoices(merging)
  mergeMics(merging)
  mergeCurves(merging)
  mergeSongs(merging)
  mergeChains(merging)
  mergeVersions(merging)
  mergePins(merging)
  mergeTakes(merging)
  mergeSessions(merging)
  mergeRecords(merging)
  return merging
}

function refuseQuestions({ questions }: HistoryMerge): void {
  const [first] = questions
  if (first === undefined) return
  const here = first.here.map(({ id, name }) => `${name} (${id})`).join(', ')
  throw new Failure(
    'conflict',
    `The history has an artist “${first.name}”, and this catalogue has one of that name that was not exchanged before: ${here}. Say whether it is the same person; nothing was merged.`,
    { artist: first.artist, name: first.name, here },
  )
}

/**
 * A merge that found nothing new is no line of the ledger.
 * @param at after all that was merged, so that the line is the newest
 */
function noteInLedger({ catalogue, entries, done }: Merging, at: string): void {
  const { added, changed, conflicts, voices } = done
  if (added.length + changed.length + conflicts.length === 0) return
  const [first] = entries.history.artists
  const artistId = first === undefined ? undefined : catalogue.identities.rowOf('artists', first.id)
  catalogue.identities.noteImport(
    {
      artistId: artistId ?? null,
      artistName: artistId === undefined ? '' : catalogue.artists.get(artistId).name,
      name: voices.join(', ').slice(0, 200),
      sha256: entries.sha256,
      added: added.length + changed.length,
      conflicts,
    },
    at,
  )
}

function keepPictures(folder: string, { pictures }: HistoryEntries): void {
  for (const [sha256, { bytes, type }] of pictures) {
    const path = join(folder, `${sha256}.${type}`)
    if (existsSync(path)) continue
    ensureFolder(folder, PRIVATE_FOLDER_MODE)
    try {
      writeNewFile(path, bytes, createPrivateFile)
    } catch (error) {
      // Stored by another program at the same time.
      if (!(error instanceof Failure && error.code === 'conflict')) throw error
    }
  }
}

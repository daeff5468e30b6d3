// What a folder of takes tells without a question: names of artist and song, and which files are sound.

import type { Role } from '../../app/contract/entities.ts'
import { MAX_NAME } from '../../app/contract/text/limits.ts'
import { guessRole } from './role-guess.ts'

/** File types that takes come in; what a file really holds is seen when it is read. */
export const TAKE_TYPES = ['.wav', '.wave', '.bwf', '.rf64', '.aif', '.aiff', '.aifc', '.flac']

/** Names of the session's owner and voice where the folder tells none; both can be renamed. */
const NEW_ARTIST = 'New artist'
export const NEW_VOICE = 'Voice'

/** A date at either end of a name: 2026-11-28, 20261128, 28.11.2026. */
const DATE =
  /^(\d{4}[-_. ]?\d{2}[-_. ]?\d{2}|\d{2}[-_.]\d{2}[-_.]\d{4})[-_. ]+|[-_. ]+(\d{4}[-_. ]?\d{2}[-_. ]?\d{2}|\d{2}[-_.]\d{2}[-_.]\d{4})$/g
/** Words for what is in the folder, at its end: 'Paper Sky vocals'. */
const CONTENT = /[-_ ]+(takes|vocals?|vox|stems|audio( files)?|wavs?|raw)$/i

/**
 * 'Mira - Paper Sky' names artist and song, everything else the song alone. Dates, words such as 'takes' and
 * underscores are taken out.
 */
export function namesOfFolder(folder: string): { readonly artistName: string; readonly songTitle: string } {
  const plain = folder.replaceAll(DATE, '').replace(CONTENT, '').replaceAll('_', ' ').trim()
  const name = (plain === '' ? folder : plain).slice(0, MAX_NAME)
  const parts = /^(.*\S)\s+[-–]\s+(\S.*)$/u.exec(name)
  return parts === null
    ? { artistName: NEW_ARTIST, songTitle: name.trim() || 'New song' }
    : { artistName: parts[1], songTitle: parts[2] }
}

/** A file with the folders in which it lies, in the order of a path. */
export interface FoundFile {
  readonly file: File
  readonly folders: readonly string[]
}

const isHidden = ({ file, folders }: FoundFile): boolean =>
  file.name.startsWith('.') || folders.some((folder) => folder.startsWith('.'))

const byPlace = new Intl.Collator('en', { numeric: true })
const pathOf = ({ file, folders }: FoundFile): string => [...folders, file.name].join('/')

/** Sound files in the order of their paths with numbers as numbers, and the names of the other visible files. */
export function sortedFiles(found: readonly FoundFile[]): { sound: FoundFile[]; others: string[] } {
  const visible = found.filter((one) => !isHidden(one))
  const isSound = ({ file }: FoundFile): boolean =>
    TAKE_TYPES.some((type) => file.name.toLowerCase().endsWith(type))
  return {
    sound: visible.filter(isSound).sort((a, b) => byPlace.compare(pathOf(a), pathOf(b))),
    others: visible.filter((one) => !isSound(one)).map(({ file }) => file.name),
  }
}

const stemOf = (name: string): string => name.replace(/\.[^.]*$/, '')

/**
 * The role of a take: its name's, else that of the nearest folder above it that tells one.
 * @param takeName the file's name without its type
 * @returns null where neither tells one, or files of one name lie in folders of different roles
 */
export function roleInFolder(takeName: string, files: readonly FoundFile[]): Role | null {
  const named = guessRole(takeName)
  if (named !== null) return named
  const roles = files
    .filter(({ file }) => stemOf(file.name) === takeName)
    .map(
      ({ folders }) => folders.map((folder) => guessRole(folder)).findLast((role) => role !== null) ?? null,
    )
  return roles.every((role) => role === roles[0]) ? (roles[0] ?? null) : null
}

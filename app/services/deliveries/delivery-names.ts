// The names of a delivery's folder and files.

import type { DeliveryEncoding } from '../../contract/delivery/delivery-request.ts'
import type { Session } from '../../contract/entities.ts'
import { fileWord, initialsOf } from '../../formats/names/file-words.ts'
import { type TokenTexts, templateName } from '../../formats/names/template-names.ts'
import { versionWord } from '../../words/deliveries.ts'

/** Folders of a delivery. */
export const FOLDERS = {
  processed: '01_Processed',
  dry: '02_Dry',
  raw: '02_Dry/Raw',
  aligned: '02_Dry/Aligned',
  reference: '03_Reference',
  session: '04_Session',
} as const

/** What a name is made from beside the song. */
export interface NamedFile {
  readonly folder: string
  /** Wet, Aligned, Raw or Ref. */
  readonly kind: string
  readonly part: string
  readonly layer?: string
  readonly role?: string
  readonly take?: string
  readonly sampleRateHz: number
  readonly encoding: string
  readonly extension: string
}

/** Words of encodings: 24b, 32f. */
const depthWord = (encoding: string): string => {
  const [kind, bits = ''] = encoding.split('-')
  return `${bits}${kind === 'float' ? 'f' : 'b'}`
}

const rateWord = (sampleRateHz: number): string => `${sampleRateHz / 1000}k`.replace('.', 'p')

type Song = Pick<Session, 'artistName' | 'songTitle' | 'date'>

/** `ND_NightTrain_2026-03-14_v03`. */
export const deliveryFolderName = ({ artistName, songTitle, date }: Song, number: number): string =>
  `${initialsOf(artistName)}_${fileWord(songTitle).slice(0, 50)}_${date}_${versionWord(number)}`

/** Names the files of one delivery one after another, each once in the whole delivery. */
export function createNamer(session: Song, number: number, template: string) {
  const taken = new Set<string>()
  const counts = new Map<string, number>()
  const textsOf = (file: NamedFile, n: number): TokenTexts => ({
    artist: session.artistName,
    initials: initialsOf(session.artistName),
    song: session.songTitle,
    date: session.date,
    part: file.part,
    layer: file.layer ?? '',
    role: file.role ?? '',
    take: file.take ?? '',
    kind: file.kind,
    ver: String(number).padStart(2, '0'),
    rate: rateWord(file.sampleRateHz),
    depth: depthWord(file.encoding),
    n: String(n).padStart(2, '0'),
  })
  return {
    /** Path of the file, and of the same file as float. */
    name(file: NamedFile): { readonly path: string; readonly floatPath: string } {
      const n = (counts.get(file.folder) ?? 0) + 1
      counts.set(file.folder, n)
      const make = (encoding: string, among: Set<string>): string =>
        `${file.folder}/${templateName(among, template, textsOf({ ...file, encoding }, n), file.extension)}`
      const others = new Set(taken)
      const path = make(file.encoding, taken)
      // Where the template has no depth, both have one name.
      const floatPath = make('float-32' satisfies DeliveryEncoding, others)
      taken.add(floatPath.slice(file.folder.length + 1).toLowerCase())
      return { path, floatPath }
    },
  }
}

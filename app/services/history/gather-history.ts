// Collects what belongs to voices and sessions of the catalogue, named so that another computer knows it.

import { basename, dirname } from 'node:path'
import type { Catalogue } from '../../../db/catalogue.ts'
import type { Dated } from '../../../db/tables/identity/identities.ts'
import type { CurveRecord } from '../../contract/entities.ts'
import {
  type CurveContent,
  HISTORY_FORMAT,
  HISTORY_FORMAT_V,
  type History,
} from '../../contract/exchange/history.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { mergeHistories } from '../../history/merge-histories.ts'
import { versionNode } from '../../history/version-hash.ts'
import { knownStates } from './known-states.ts'
import { type HistoryScope, rowsOfScope } from './scope-rows.ts'
import { sessionSections } from './session-sections.ts'
import { sessionSettings } from './session-settings.ts'

/** A history without its list of files, and the curves that it names. */
export interface GatheredHistory {
  readonly history: History
  readonly curves: ReadonlyMap<string, CurveContent>
}

/** What names a curve on every computer is its content, without name and note. */
export const curveContent = ({ source, pattern, distanceM, points, picture }: CurveRecord): CurveContent => ({
  source,
  pattern,
  distanceM,
  points,
  picture,
})

/** Folder for takes that came without their sound, beside the catalogue. */
const TAKES_FOLDER = 'takes'
/** The same for bounces and deliveries. */
const BOUNCES_FOLDER = 'bounces'
const DELIVERIES_FOLDER = 'deliveries'
const HASH_DIGITS = 12
/** What a name on a disk may have beside its hash. */
const MAX_FOLDER_NAME = 200

/** Where the sound of a take is expected that came without it. */
export const expectedPath = (sha256: string, fileName: string): string =>
  `${TAKES_FOLDER}/${sha256.slice(0, HASH_DIGITS)}_${fileName}`

/** The name that a take's file had before it came from another computer. */
function fileNameOf({ sha256, path }: { sha256: string; path: string }): string {
  return withoutHash(basename(path.replaceAll('\\', '/')), sha256)
}

/** A file's or folder's name without the digits of its hash that are put before it here. */
export function withoutHash(name: string, sha256: string): string {
  const prefix = `${sha256.slice(0, HASH_DIGITS)}_`
  return name.startsWith(prefix) ? name.slice(prefix.length) : name
}

/** Everything of the scope; throws Failure `not-found` for a row that is not there. */
export function gatherHistory(catalogue: Catalogue, scope: HistoryScope): GatheredHistory {
  return catalogue.transaction(() => gather(catalogue, scope))
}

function gather(catalogue: Catalogue, scope: HistoryScope): GatheredHistory {
  const { identities, historyRows } = catalogue
  const rows = rowsOfScope(catalogue, scope)
  const { takes, chains, voices, curves } = rows
  const states = <V>(subject: Dated, id: number, madeAt: string, values: V) =>
    knownStates(identities, subject, id, madeAt, values).known
  const entity = <T extends 'artists' | 'voices' | 'mics' | 'songs' | 'sessions' | 'chains', V>(
    table: T,
    id: number,
    values: V,
  ) => {
    const createdAt = historyRows.madeAt(table, id)
    return {
      id: identities.uuidOf(table, id)!,
      also: identities.alsoOf(table, id),
      createdAt,
      states: states(table, id, createdAt, values),
    }
  }
  const contents = new Map<number, readonly [string, CurveContent]>(
    curves.map((curve) => {
      const content = curveContent(curve)
      return [curve.id, [hashOfValue(content), content]]
    }),
  )
  const versions = chains.flatMap(({ id }) => {
    const chain = identities.uuidOf('chains', id)!
    return historyRows
      .versionsOfChain(id)
      .map(({ node, number, stages, note, parents, machine, createdAt }) => ({
        sha256: node,
        number,
        node: versionNode({
          ...{ chain, note, machine, createdAt },
          parents: JSON.parse(parents) as string[],
          stages: JSON.parse(stages) as unknown,
        }),
      }))
  })
  const pinned = new Set(voices.flatMap(({ id }) => catalogue.voiceHistory.pins(id)))
  const pins = chains
    .flatMap(({ id }) => historyRows.versionsOfChain(id))
    .filter(({ id }) => identities.stampOf('pins', id) !== undefined)
    .map(({ id, node, createdAt }) => ({
      sha256: node,
      states: states('pins', id, createdAt, { isPinned: pinned.has(id) }),
    }))
  const gathered: History = {
    ...EMPTY,
    machines: [],
    artists: [...rows.artists].map((id) => {
      const { name, note } = catalogue.artists.get(id)
      return entity('artists', id, { name, note })
    }),
    voices: voices.map(({ id, artistId, name, note }) => ({
      ...entity('voices', id, { name, note }),
      artist: identities.uuidOf('artists', artistId)!,
    })),
    mics: [...rows.mics].map((id) => {
      const { name, serial, pattern, note } = catalogue.mics.get(id)
      return entity('mics', id, { name, serial, pattern, note })
    }),
    curves: curves.map(({ id, micId, name, note }) => {
      const createdAt = historyRows.madeAt('curves', id)
      return {
        mic: micId === null ? null : identities.uuidOf('mics', micId)!,
        sha256: contents.get(id)![0],
        createdAt,
        states: states('curves', id, createdAt, { name, note }),
      }
    }),
    songs: [...rows.songs].map((id) => {
      const { artistId, title } = catalogue.songs.get(id)
      return { ...entity('songs', id, { title }), artist: identities.uuidOf('artists', artistId)! }
    }),
    chains: chains.map(({ id, voiceId, name }) => ({
      ...entity('chains', id, { name }),
      voice: identities.uuidOf('voices', voiceId)!,
    })),
    versions,
    pins,
    takes: takes.map((take) => {
      const { voiceId, micId, curveId, name } = take
      const values = {
        name,
        voice: voiceId === null ? null : identities.uuidOf('voices', voiceId)!,
        mic: micId === null ? null : identities.uuidOf('mics', micId)!,
        curve: curveId === null ? null : contents.get(curveId)![0],
      }
      const { sha256, container, encoding, sampleRateHz, channels, frames, facts } = take
      const { timeReferenceSamples, sizeBytes, importedAt } = take
      return {
        ...{ sha256, container, encoding, sampleRateHz, channels, frames, facts },
        ...{ timeReferenceSamples, sizeBytes, importedAt },
        fileName: fileNameOf(take),
        states: states('takes', take.id, importedAt, values),
      }
    }),
    sessions: [...rows.sessions].map((id) => {
      const { songId, notes } = catalogue.sessions.get(id)
      const shared = entity('sessions', id, { notes })
      return {
        ...shared,
        song: identities.uuidOf('songs', songId)!,
        takes: catalogue.takes.hashesOfSession(id).sort(),
        settings: states('settings', id, shared.createdAt, sessionSettings(catalogue, id)),
        sections: states('sections', id, shared.createdAt, sessionSections(catalogue, id)),
      }
    }),
    bounces: [...rows.sessions].flatMap((sessionId) =>
      catalogue.bounces
        .list({ sessionId })
        .map(({ manifestSha256, stems, part, createdAt, manifestPath }) => ({
          session: identities.uuidOf('sessions', sessionId)!,
          manifestSha256,
          stems,
          part,
          createdAt,
          folder: nameOfFolder(dirname(manifestPath.replaceAll('\\', '/')), manifestSha256, 'bounce'),
        })),
    ),
    deliveries: [...rows.sessions].flatMap((sessionId) =>
      catalogue.deliveries.listWhole(sessionId).map(({ folder, ...delivery }) => ({
        ...delivery,
        session: identities.uuidOf('sessions', sessionId)!,
        folder: nameOfFolder(folder, delivery.manifestSha256, 'delivery'),
      })),
    ),
    changes: [...rows.artists].flatMap((artistId) =>
      historyRows.changesOfArtist(artistId).map(({ kind, entity: what, name, otherName, at }) => ({
        ...{ artist: identities.uuidOf('artists', artistId)!, kind, entity: what, name, otherName, at },
      })),
    ),
  }
  // Joined with nothing, every list is in the order of its keys and has each entry once.
  const history = mergeHistories({ ...gathered, machines: machinesOf(gathered, catalogue) }, EMPTY)
  return { history, curves: new Map(contents.values()) }
}

/** The computers that the history names. */
function machinesOf(history: History, { identities }: Catalogue): History['machines'] {
  const named = new Set<unknown>(history.versions.map(({ node }) => node.machine))
  const { artists, voices, mics, curves, songs, chains, pins, takes, sessions } = history
  for (const { states } of [artists, voices, mics, curves, songs, chains, pins, takes, sessions].flat()) {
    for (const { machine } of states) named.add(machine)
  }
  for (const { settings, sections } of sessions) {
    for (const { machine } of [settings, sections].flat()) named.add(machine)
  }
  return identities.machines().filter(({ id }) => named.has(id))
}

/** Where the manifest of a bounce is expected that came without its files. */
export const expectedBounce = (folder: string, manifestSha256: string): string =>
  `${BOUNCES_FOLDER}/${manifestSha256.slice(0, HASH_DIGITS)}_${folder}/manifest.json`

/** The same for the folder of a delivery. */
export const expectedDelivery = (folder: string, manifestSha256: string): string =>
  `${DELIVERIES_FOLDER}/${manifestSha256.slice(0, HASH_DIGITS)}_${folder}`

/** Name of a folder as it went out, without those around it. */
function nameOfFolder(path: string, manifestSha256: string, otherwise: string): string {
  const name = withoutHash(basename(path.replaceAll('\\', '/')), manifestSha256)
  return name.slice(0, MAX_FOLDER_NAME) || otherwise
}

const EMPTY: History = {
  format: HISTORY_FORMAT,
  v: HISTORY_FORMAT_V,
  machines: [],
  artists: [],
  voices: [],
  mics: [],
  curves: [],
  songs: [],
  chains: [],
  versions: [],
  pins: [],
  takes: [],
  sessions: [],
  bounces: [],
  deliveries: [],
  changes: [],
  files: [],
}

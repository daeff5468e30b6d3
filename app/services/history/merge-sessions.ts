// Merges sessions with their stacks, and what was written about them. A session that was set differently on two
// computers stays on each as it was set there; the other's settings are kept whole.

import type { History, SessionSettings } from '../../contract/exchange/history.ts'
import { Failure } from '../../contract/failure.ts'
import { Lineage, validState } from '../../history/lineage.ts'
import { joinStates } from '../../history/states.ts'
import { expectedBounce, expectedDelivery } from './gather-history.ts'
import { adoptStates, mergeStates } from './merge-states.ts'
import { joinIdentities, type Merging, noteAdded, noteConflict, referredRow, rowHere } from './merging.ts'
import { differingSections, sessionSections, unitedSections, writeSections } from './session-sections.ts'
import { differingSettings, sessionSettings, versionsOfSettings } from './session-settings.ts'

type SessionRecord = History['sessions'][number]

/** New sessions, and takes, notes and settings of known ones. */
export function mergeSessions(merging: Merging): void {
  const { catalogue, entries } = merging
  const { sessions, takes, historyRows } = catalogue
  for (const session of entries.history.sessions) {
    const row = rowHere(merging, 'sessions', session)
    const isLacking = noteLackingVersions(merging, row, session)
    if (row === undefined && isLacking) {
      merging.leftOut.add(session.id)
      continue
    }
    const id = row ?? insertSession(merging, session)
    for (const sha256 of session.takes) takes.linkToSession(id, takeRow(merging, sha256))
    if (row === undefined) {
      writeStack(merging, id, validState(session.settings).values)
      adoptStates(merging, { subject: 'sessions', id }, session.states)
      adoptStates(merging, { subject: 'settings', id }, session.settings)
      if (session.sections.length > 0) {
        const live = unitedSections(session.createdAt)(session.sections)
        writeSections(catalogue, id, validState(live).values)
        adoptStates(merging, { subject: 'sections', id }, live)
        for (const state of session.sections) catalogue.identities.keep('sections', id, state, merging.now)
      }
      continue
    }
    const here = sessions.get(id)
    const about = {
      id,
      kind: 'session' as const,
      name: `${here.songTitle}, ${here.date}`,
      madeAt: historyRows.madeAt('sessions', id),
    }
    mergeStates(merging, { ...about, subject: 'sessions' }, { notes: here.notes }, session.states, {
      rule: 'newest',
      write: (newer) => sessions.update(id, newer),
      describe: ({ notes }) => notes,
    })
    if (!isLacking) {
      mergeStates(
        merging,
        { ...about, subject: 'settings' },
        sessionSettings(catalogue, id),
        session.settings,
        {
          rule: 'ours',
          write: (newer) => writeSettings(merging, id, newer),
          describe: differingSettings,
        },
      )
    }
    mergeStates(
      merging,
      { ...about, name: `${about.name}: sections`, subject: 'sections' },
      sessionSections(catalogue, id),
      session.sections,
      {
        rule: 'ours',
        write: (newer) => writeSections(catalogue, id, newer),
        describe: differingSections,
        live: unitedSections(about.madeAt),
      },
    )
    joinIdentities(merging, 'sessions', id, session)
  }
}

/**
 * Whether settings that may become valid name a version that is not here and did not enter, which is noted then. They
 * are not taken in, because without its chain the session would go back to the other computer as if it had been changed.
 */
function noteLackingVersions(merging: Merging, row: number | undefined, session: SessionRecord): boolean {
  const { identities, historyRows, songs } = merging.catalogue
  const kept = row === undefined ? [] : (identities.keptOf('settings', row) as typeof session.settings)
  const { heads } = new Lineage(joinStates(kept, session.settings))
  const lacking = new Set(
    heads
      .flatMap(({ values }) => versionsOfSettings(values))
      .filter((node) => historyRows.versionOfNode(node) === undefined),
  )
  if (lacking.size === 0) return false
  const { title } = songs.get(referredRow(merging, 'songs', session.song))
  const { date } = validState(session.settings).values
  noteConflict(
    merging,
    row === undefined ? 'session-waits' : 'settings-wait',
    'session',
    `${title}, ${date}`,
    [...lacking].map((node) => node.slice(0, 12)),
  )
  return true
}

function insertSession(merging: Merging, session: SessionRecord): number {
  const { sessions, songs, identities } = merging.catalogue
  const songId = referredRow(merging, 'songs', session.song)
  const { groups: _, sharedVersion, ...settings } = validState(session.settings).values
  const { notes } = validState(session.states).values
  const { id } = sessions.insert(
    { ...settings, songId, notes, sharedChainVersionId: versionRow(merging, sharedVersion) },
    session.createdAt,
  )
  identities.adopt('sessions', id, session.id)
  joinIdentities(merging, 'sessions', id, session)
  noteAdded(merging, 'session', `${songs.get(songId).title}, ${settings.date}`)
  return id
}

/** Sets the session as the history has it. Rows that are known keep their ids, so that drafts stay with them. */
export function writeSettings(
  merging: Pick<Merging, 'catalogue'>,
  id: number,
  settings: SessionSettings,
): void {
  const { catalogue } = merging
  const { groups: _, sharedVersion, sampleRateHz, ...changes } = settings
  // Offsets count in the rate, which no session ever changes.
  if (sampleRateHz !== catalogue.sessions.get(id).sampleRateHz) return
  catalogue.sessions.update(id, { ...changes, sharedChainVersionId: versionRow(merging, sharedVersion) })
  for (const group of catalogue.groups.listOfSession(id)) catalogue.groups.remove(group.id)
  writeStack(merging, id, settings)
}

function writeStack(
  merging: Pick<Merging, 'catalogue'>,
  sessionId: number,
  { groups }: SessionSettings,
): void {
  const { catalogue } = merging
  const { identities } = catalogue
  for (const [position, { id: uuid, name, gainDb, version, layers }] of groups.entries()) {
    const group = catalogue.groups.insert({
      ...{ sessionId, name, gainDb, position, chainVersionId: versionRow(merging, version) },
      id: identities.removedRow('groups', uuid),
    })
    identities.adopt('groups', group.id, uuid)
    for (const { id: layerUuid, take, ...fields } of layers) {
      const layer = catalogue.layers.insert({
        ...{ ...fields, sessionId, groupId: group.id, takeId: takeRow(merging, take) },
        id: identities.removedRow('layers', layerUuid),
      })
      identities.adopt('layers', layer.id, layerUuid)
    }
  }
}

/** null for none; noteLackingVersions has asked for all others. */
const versionRow = ({ catalogue }: Pick<Merging, 'catalogue'>, node: string | null): number | null =>
  node === null ? null : (catalogue.historyRows.versionOfNode(node) ?? null)

function takeRow({ catalogue }: Pick<Merging, 'catalogue'>, sha256: string): number {
  const take = catalogue.takes.idOfSha256(sha256)
  if (take !== undefined) return take
  throw new Failure(
    'invalid-input',
    `The history has a session with the take ${sha256}, and says nothing of that take; export it again. Nothing was merged.`,
    { sha256 },
  )
}

/** Bounces and deliveries of the sessions, and the lines of the ledger about artists, voices, songs and sessions. */
export function mergeRecords(merging: Merging): void {
  const { catalogue, entries, leftOut } = merging
  for (const { session, folder, ...bounce } of entries.history.bounces) {
    if (leftOut.has(session)) continue
    const sessionId = referredRow(merging, 'sessions', session)
    const isKnown = catalogue.bounces
      .list({ sessionId })
      .some(
        ({ manifestSha256, createdAt }) =>
          manifestSha256 === bounce.manifestSha256 && createdAt === bounce.createdAt,
      )
    if (isKnown) continue
    const { createdAt, ...fields } = bounce
    catalogue.bounces.insert(
      { ...fields, sessionId, manifestPath: expectedBounce(folder, bounce.manifestSha256) },
      createdAt,
    )
    noteAdded(merging, 'bounce', folder)
  }
  for (const { session, folder, createdAt, ...delivery } of entries.history.deliveries) {
    if (leftOut.has(session)) continue
    const sessionId = referredRow(merging, 'sessions', session)
    const isKnown = catalogue.deliveries
      .listOfSession(sessionId)
      .some((one) => one.manifestSha256 === delivery.manifestSha256 && one.number === delivery.number)
    if (isKnown) continue
    catalogue.deliveries.insert(
      { ...delivery, sessionId, folder: expectedDelivery(folder, delivery.manifestSha256), isForeign: true },
      createdAt,
    )
    noteAdded(merging, 'delivery', folder)
  }
  for (const { artist, ...change } of entries.history.changes) {
    const artistId = referredRow(merging, 'artists', artist)
    const known = catalogue.historyRows.changesOfArtist(artistId)
    const isSame = (one: (typeof known)[number]): boolean =>
      one.at === change.at &&
      one.kind === change.kind &&
      one.entity === change.entity &&
      one.name === change.name &&
      one.otherName === change.otherName
    if (known.some(isSame)) continue
    catalogue.historyRows.addChange({ ...change, artistId, artistName: catalogue.artists.get(artistId).name })
    noteAdded(merging, 'note', `${change.entity} ${change.kind}: ${change.name}`)
  }
}

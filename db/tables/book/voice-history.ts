// The history of a voice: what of its takes the book compares, where its chains are used, and which versions of
// them are pinned.

import type { Database } from 'better-sqlite3'
import { SeasonTakeFacts } from '../../../app/contract/book/voice-book.ts'
import type { BounceRecord, ChainVersion, Group, Session, Take } from '../../../app/contract/entities.ts'
import { readStored } from '../stored-json.ts'

export type VoiceHistoryQueries = ReturnType<typeof voiceHistoryQueries>

/** A take of the voice in the first session that it was in. */
interface HistoryTake extends Pick<Take, 'id' | 'name' | 'micId' | 'curveId'> {
  readonly sessionId: number
  /** JSON; null if it was not analysed, or has not enough voice. */
  readonly facts: string | null
}
type HistorySession = Pick<Session, 'id' | 'date' | 'songTitle'>
type HistoryVersion = Pick<
  ChainVersion,
  | 'id'
  | 'chainId'
  | 'chainName'
  | 'number'
  | 'note'
  | 'createdAt'
  | 'node'
  | 'parents'
  | 'machineName'
  | 'sharesNumber'
>
type VersionRow = Omit<HistoryVersion, 'parents' | 'sharesNumber'> & {
  readonly parents: string
  readonly sharesNumber: 0 | 1
}
interface ChainUse {
  readonly chainVersionId: number
  readonly sessionId: number
  readonly date: string
  readonly songTitle: string
  readonly groupId: Group['id'] | null
  readonly groupName: Group['name'] | null
}

// CROSS JOIN forces SQLite to join in the order written: from the voice to what hangs on it.
const OF_CHAINS = 'FROM chains CROSS JOIN chain_versions ON chain_id = chains.id'
const WITH_SONG = 'JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id'

export function voiceHistoryQueries(db: Database) {
  const takes = db.prepare<[number], HistoryTake>(
    `SELECT takes.id, name, mic_id AS micId, curve_id AS curveId, sessions.id AS sessionId,
       CASE facts ->> '$.voice.outcome' WHEN 'analysed' THEN json_object(
         'voiceLevelDbfs', facts -> '$.voice.voiceLevelDbfs',
         'fundamental', facts -> '$.voice.fundamental',
         'levelsDbfs', facts -> '$.voice.spectrum.levelsDbfs',
         'sibilance', json_object(
           'peakHz', facts -> '$.voice.sibilance.peakHz',
           'upperRatioDb', facts -> '$.voice.sibilance.upperRatioDb')) END AS facts
     FROM takes JOIN sessions ON sessions.id = (SELECT min(session_id) FROM session_takes WHERE take_id = takes.id)
     WHERE voice_id = ? ORDER BY takes.id`,
  )
  const sessions = db.prepare<[number], HistorySession>(
    `SELECT DISTINCT sessions.id, date, title AS songTitle
     FROM takes CROSS JOIN session_takes ON take_id = takes.id ${WITH_SONG}
     WHERE voice_id = ? ORDER BY date, sessions.id`,
  )
  const versions = db.prepare<[number], VersionRow>(
    `SELECT chain_versions.id, chain_id AS chainId, chains.name AS chainName, number, note,
       chain_versions.created_at AS createdAt, node, parents, machines.name AS machineName,
       EXISTS (SELECT 1 FROM chain_versions AS twin WHERE twin.chain_id = chain_versions.chain_id
         AND twin.number = chain_versions.number AND twin.id <> chain_versions.id) AS sharesNumber
     ${OF_CHAINS} JOIN machines ON machines.uuid = machine
     WHERE voice_id = ? ORDER BY chain_id, number, chain_versions.id`,
  )
  const uses = db.prepare<[{ voiceId: number }], ChainUse>(
    `SELECT chain_version_id AS chainVersionId, session_id AS sessionId, date, title AS songTitle,
       groups.id AS groupId, groups.name AS groupName
     ${OF_CHAINS} CROSS JOIN groups ON chain_version_id = chain_versions.id ${WITH_SONG}
     WHERE voice_id = @voiceId AND chain_sharing = 'own'
     UNION ALL
     SELECT shared_chain_version_id, sessions.id, date, title, NULL, NULL
     ${OF_CHAINS} CROSS JOIN sessions ON shared_chain_version_id = chain_versions.id
     JOIN songs ON songs.id = song_id
     WHERE voice_id = @voiceId AND chain_sharing = 'shared' ORDER BY date, sessionId, groupId`,
  )
  const bounces = db.prepare<[number], Pick<BounceRecord, 'id' | 'sessionId' | 'manifestPath' | 'createdAt'>>(
    `SELECT id, session_id AS sessionId, manifest_path AS manifestPath, created_at AS createdAt
     FROM bounces WHERE session_id IN (
       SELECT session_id FROM takes CROSS JOIN session_takes ON take_id = takes.id WHERE voice_id = ?)
     ORDER BY created_at DESC, id DESC`,
  )
  const pins = db
    .prepare<[number], number>(
      `SELECT chain_version_id ${OF_CHAINS} CROSS JOIN chain_pins ON chain_version_id = chain_versions.id
       WHERE voice_id = ?`,
    )
    .pluck()
  const pin = db.prepare<[number, string]>(
    'INSERT INTO chain_pins (chain_version_id, created_at) VALUES (?, ?) ON CONFLICT DO NOTHING',
  )
  const unpin = db.prepare<[number]>('DELETE FROM chain_pins WHERE chain_version_id = ?')

  return {
    /** In the order of import. */
    takes: (voiceId: number) =>
      takes.all(voiceId).map(({ facts, ...take }) => ({
        ...take,
        facts:
          facts === null ? null : readStored(SeasonTakeFacts, facts, `the voice analysis of take ${take.id}`),
      })),
    /** Sessions with takes of the voice, oldest first. */
    sessions: (voiceId: number): HistorySession[] => sessions.all(voiceId),
    /** Of all its chains, parents before their children within each. */
    versions: (voiceId: number): HistoryVersion[] =>
      versions.all(voiceId).map(({ parents, sharesNumber, ...version }) => ({
        ...version,
        parents: JSON.parse(parents) as string[],
        sharesNumber: sharesNumber === 1,
      })),
    /** Where versions of its chains are in use, by date. */
    uses: (voiceId: number): ChainUse[] => uses.all({ voiceId }),
    /** Of the sessions with takes of the voice, newest first. */
    bounces: (voiceId: number) => bounces.all(voiceId),
    /** Ids of the pinned versions of its chains. */
    pins: (voiceId: number): number[] => pins.all(voiceId),
    /** Idempotent. */
    setPin(chainVersionId: number, isPinned: boolean, at: string): void {
      if (isPinned) pin.run(chainVersionId, at)
      else unpin.run(chainVersionId)
    },
  }
}

// Identities that hold on every computer: UUIDs of rows, the computers, when values were changed and where, and
// values that were kept from other computers.

import type { Database, Statement } from 'better-sqlite3'
import type { HistoryConflict } from '../../../app/contract/exchange/conflict.ts'
import { canonicalJson } from '../../../app/history/canonical-json.ts'
import type { Stamp, State } from '../../../app/history/states.ts'

/** The tables whose rows have a UUID. */
export type Named = 'artists' | 'voices' | 'mics' | 'songs' | 'sessions' | 'groups' | 'layers' | 'chains'
/** What changes are dated of: a table, or what is heard of a session, its sections, or the pin of a chain version. */
export type Dated =
  | 'artists'
  | 'voices'
  | 'mics'
  | 'curves'
  | 'songs'
  | 'chains'
  | 'takes'
  | 'sessions'
  | 'settings'
  | 'sections'
  | 'pins'

/** When values were changed, and what they were made from; the computer is empty where it is not known. */
type Change = Omit<State<unknown>, 'values'>

interface StampRow extends Stamp {
  readonly subject: Dated
  readonly id: number
  readonly parents: string
}

export type IdentityQueries = ReturnType<typeof identityQueries>

const NAMED: readonly Named[] = [
  'artists',
  'voices',
  'mics',
  'songs',
  'sessions',
  'groups',
  'layers',
  'chains',
]

export function identityQueries(db: Database) {
  const perTable = <S>(make: (table: Named) => S) =>
    Object.fromEntries(NAMED.map((table) => [table, make(table)])) as Record<Named, S>
  const uuids = perTable((table) =>
    db.prepare<[number], string>(`SELECT uuid FROM ${table} WHERE id = ?`).pluck(),
  )
  const rows = perTable((table) =>
    db
      .prepare<[{ uuid: string }], number>(
        `SELECT id FROM ${table} WHERE uuid = @uuid UNION ALL
         SELECT row_id FROM other_identities WHERE uuid = @uuid AND of_table = '${table}' AND standing = 'joined'
         LIMIT 1`,
      )
      .pluck(),
  )
  const adoptions = perTable(
    (table): Statement<[string, number]> => db.prepare(`UPDATE ${table} SET uuid = ? WHERE id = ?`),
  )
  const forget = db.prepare<[string]>('DELETE FROM other_identities WHERE uuid = ?')
  const join = db.prepare<[string, Named, number]>(
    `INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (?, ?, ?, 'joined')
     ON CONFLICT (uuid) DO UPDATE SET row_id = excluded.row_id, standing = 'joined'`,
  )
  const also = db
    .prepare<[Named, number], string>(
      "SELECT uuid FROM other_identities WHERE of_table = ? AND row_id = ? AND standing = 'joined' ORDER BY uuid",
    )
    .pluck()
  const removed = db
    .prepare<[string, Named], number>(
      "SELECT row_id FROM other_identities WHERE uuid = ? AND of_table = ? AND standing = 'removed'",
    )
    .pluck()
  const machines = db.prepare<[], { id: string; name: string }>(
    'SELECT uuid AS id, name FROM machines ORDER BY uuid',
  )
  const ownMachines = db.prepare<[], string>('SELECT uuid FROM machines WHERE writes_here = 1').pluck()
  const addMachine = db.prepare<[{ id: string; name: string }]>(
    'INSERT INTO machines (uuid, name, writes_here) VALUES (@id, @name, 0) ON CONFLICT DO NOTHING',
  )
  const stamp = db.prepare<[Dated, number], { at: string; machine: string | null; parents: string }>(
    'SELECT at, machine, parents FROM dated_changes WHERE of_table = ? AND row_id = ?',
  )
  const ownChange = db.prepare<[Dated, number], { at: string | null; machine: string | null }>(
    'SELECT own_at AS at, own_machine AS machine FROM dated_changes WHERE of_table = ? AND row_id = ?',
  )
  const setStamp = db.prepare<[StampRow & { ownAt: string | null; ownMachine: string | null }]>(
    `INSERT INTO dated_changes (of_table, row_id, at, machine, parents, own_at, own_machine)
       VALUES (@subject, @id, @at, @machine, @parents, @ownAt, @ownMachine)
     ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
       parents = excluded.parents, own_at = excluded.own_at, own_machine = excluded.own_machine`,
  )
  const kept = db.prepare<[Dated, number], { at: string; machine: string; parents: string; state: string }>(
    'SELECT at, machine, parents, state FROM kept_states WHERE of_table = ? AND row_id = ? ORDER BY id',
  )
  const keep = db.prepare<[StampRow & { state: string; now: string }]>(
    `INSERT INTO kept_states (of_table, row_id, at, machine, parents, state, kept_at)
       SELECT @subject, @id, @at, @machine, @parents, @state, @now WHERE NOT EXISTS (
         SELECT 1 FROM kept_states WHERE of_table = @subject AND row_id = @id AND at = @at AND machine = @machine
           AND parents = @parents AND state = @state)`,
  )
  const imported = db.prepare<[Omit<NewHistoryImport, 'conflicts'> & { conflicts: string; at: string }]>(
    `INSERT INTO history_imports (artist_id, artist_name, name, sha256, added, conflicts, created_at)
       VALUES (@artistId, @artistName, @name, @sha256, @added, @conflicts, @at)`,
  )

  return {
    uuidOf: (table: Named, id: number): string | undefined => uuids[table].get(id),
    /** The row with a UUID, or the one that what had it was joined to. */
    rowOf: (table: Named, uuid: string): number | undefined => rows[table].get({ uuid }),
    /** The id of a removed row that had a UUID; it may be inserted again under that id. */
    removedRow: (table: Named, uuid: string): number | undefined => removed.get(uuid, table),
    /** Gives a row the UUID that another computer knows it by. */
    adopt(table: Named, id: number, uuid: string): void {
      adoptions[table].run(uuid, id)
      forget.run(uuid)
    },
    /** Notes that what another computer knows by a UUID is this row. */
    join(table: Named, id: number, uuid: string): void {
      join.run(uuid, table, id)
    },
    /** UUIDs of other entities that are the same as this row. */
    alsoOf: (table: Named, id: number): string[] => also.all(table, id),
    /** UUIDs of the computers that have written to this catalogue. */
    ownMachines: (): string[] => ownMachines.all(),
    machines: (): { id: string; name: string }[] => machines.all(),
    addMachine(machine: { id: string; name: string }): void {
      addMachine.run(machine)
    },
    /** When the values of a row were last changed; undefined while they are those of its making. */
    stampOf(subject: Dated, id: number): Change | undefined {
      const row = stamp.get(subject, id)
      return row && { at: row.at, machine: row.machine ?? '', parents: JSON.parse(row.parents) as Stamp[] }
    },
    /** The last change that was made in this catalogue, whatever came from other computers since. */
    ownChangeOf(subject: Dated, id: number): Stamp | undefined {
      const row = ownChange.get(subject, id)
      return row == null || row.at === null ? undefined : { at: row.at, machine: row.machine ?? '' }
    },
    /** Dates values that came from another computer. */
    setStamp(subject: Dated, id: number, { at, machine, parents }: Change, own: Stamp | undefined): void {
      setStamp.run({
        ...{ subject, id, at, machine, parents: canonicalJson(parents) },
        ...{ ownAt: own?.at ?? null, ownMachine: own?.machine ?? null },
      })
    },
    /** Values that were exchanged: of other computers, and those here that they replaced or differed from. */
    keptOf: (subject: Dated, id: number): State<unknown>[] =>
      kept.all(subject, id).map(({ state, parents, ...row }) => ({
        ...row,
        parents: JSON.parse(parents) as Stamp[],
        values: JSON.parse(state) as unknown,
      })),
    /** Keeps values beside those that are valid; the same only once. */
    keep(subject: Dated, id: number, { at, machine, parents, values }: State<unknown>, now: string): void {
      keep.run({
        ...{ subject, id, at, machine, now },
        ...{ parents: canonicalJson(parents), state: canonicalJson(values) },
      })
    },
    /** Writes the line of the ledger about a merged history. */
    noteImport(fields: NewHistoryImport, at: string): void {
      imported.run({ ...fields, conflicts: JSON.stringify(fields.conflicts), at })
    },
  }
}

/** What was merged: its name (a voice or a song), the SHA-256 of its history.json, how much was new, and what differed. */
export interface NewHistoryImport {
  readonly artistId: number | null
  readonly artistName: string
  readonly name: string
  readonly sha256: string
  readonly added: number
  readonly conflicts: readonly HistoryConflict[]
}

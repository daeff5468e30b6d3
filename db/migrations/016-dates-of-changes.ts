// Dates changes of a session's sections, so that they can be exchanged; and dates no change earlier than what it
// replaces, so that a clock that was set back does not make a newer value the older one on another computer.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

/** As in migration 013, with when a row was made. */
const TABLES = [
  ['artists', 'name, note', 'new.created_at'],
  ['voices', 'name, note', 'new.created_at'],
  ['mics', 'name, serial, pattern, note', 'new.created_at'],
  ['curves', 'name, note', 'new.created_at'],
  ['songs', 'title', 'new.created_at'],
  ['chains', 'name', 'new.created_at'],
  ['takes', 'name, voice_id, mic_id, curve_id', 'new.imported_at'],
  ['sessions', 'notes', 'new.created_at'],
] as const

const HEARD = `date, tempo_bpm, beats_per_bar, beat_unit, tempo_changes, pan_law, start_of_day_s, chain_sharing,
  shared_chain_version_id`

/** What belongs to a session, by table, and the name that its changes are dated under. */
const OF_SESSION = [
  ['groups', 'settings'],
  ['layers', 'settings'],
  ['sections', 'sections'],
] as const

const differs = (columns: string): string =>
  columns
    .split(',')
    .map((column) => `old.${column.trim()} IS NOT new.${column.trim()}`)
    .join(' OR ')

/** Values of other computers that are kept were known here, so a change after them is later than they are. */
const dateOf = (subject: string, row: string, madeAt: string): string => `
  INSERT INTO dated_changes (of_table, row_id, at, machine)
    VALUES ('${subject}', ${row}, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = '${subject}' AND row_id = ${row}
        UNION ALL SELECT at FROM kept_states WHERE of_table = '${subject}' AND row_id = ${row}
        UNION ALL SELECT ${madeAt}))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine;`

const sessionMade = (session: string): string => `(SELECT created_at FROM sessions WHERE id = ${session})`

export const datesOfChanges: Migration = {
  number: 16,
  migrate(db: Database): void {
    for (const [table, columns, madeAt] of TABLES) {
      db.exec(`
DROP TRIGGER ${table}_dated;
CREATE TRIGGER ${table}_dated AFTER UPDATE OF ${columns} ON ${table} WHEN ${differs(columns)} BEGIN${dateOf(table, 'new.id', madeAt)}
END;`)
    }
    db.exec(`
DROP TRIGGER sessions_settings_dated;
CREATE TRIGGER sessions_settings_dated AFTER UPDATE OF ${HEARD} ON sessions WHEN ${differs(HEARD)} BEGIN${dateOf('settings', 'new.id', 'new.created_at')}
END;`)
    for (const [table, subject] of OF_SESSION) {
      for (const [act, row] of [
        ['INSERT', 'new'],
        ['UPDATE', 'new'],
        ['DELETE', 'old'],
      ] as const) {
        const name = `${table}_dated_${act.toLowerCase()}`
        const session = `${row}.session_id`
        db.exec(`
DROP TRIGGER IF EXISTS ${name};
CREATE TRIGGER ${name} AFTER ${act} ON ${table} BEGIN${dateOf(subject, session, sessionMade(session))}
END;`)
      }
    }
    // Sections that are there came after the making of their session. Both copies of a catalogue get the same date.
    db.exec(`
INSERT INTO dated_changes (of_table, row_id, at, machine)
  SELECT 'sections', id, strftime('%Y-%m-%dT%H:%M:%fZ', created_at, '+0.001 seconds'), NULL FROM sessions
  WHERE EXISTS (SELECT 1 FROM sections WHERE session_id = sessions.id);`)
  },
}

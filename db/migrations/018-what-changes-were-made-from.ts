// Dates pins of chain versions, so that they can be exchanged. Stores from which values a change was made and which was the last change in this catalogue, so that a change of
// another computer is told from one that was made on both, in whatever order histories come.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

/** As in migration 016. */
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

const HERE = '(SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1)'

/**
 * A change on one computer after another, with no exchange between them, has the parents of the first: nobody has
 * seen the values between. Values that were exchanged are in kept_states.
 */
const dateOf = (subject: string, row: string, madeAt: string): string => `
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('${subject}', ${row}, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = '${subject}' AND row_id = ${row}
        UNION ALL SELECT at FROM kept_states WHERE of_table = '${subject}' AND row_id = ${row}
        UNION ALL SELECT ${madeAt}))),
      ${HERE},
      coalesce((SELECT CASE
          WHEN machine IS ${HERE} AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = '${subject}' AND kept.row_id = ${row} AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = '${subject}' AND row_id = ${row}),
        json_array(json_object('at', ${madeAt}, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = '${subject}' AND row_id = ${row};`

const sessionMade = (session: string): string => `(SELECT created_at FROM sessions WHERE id = ${session})`

export const whatChangesWereMadeFrom: Migration = {
  number: 18,
  migrate(db: Database): void {
    // An older change has no parents; on its computer it follows those before it.
    db.exec(`
ALTER TABLE dated_changes ADD COLUMN parents TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(parents));
ALTER TABLE dated_changes ADD COLUMN own_at TEXT;
ALTER TABLE dated_changes ADD COLUMN own_machine TEXT;
ALTER TABLE kept_states ADD COLUMN parents TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(parents));
UPDATE dated_changes SET own_at = at, own_machine = machine
  WHERE machine IN (SELECT uuid FROM machines WHERE writes_here = 1);`)
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
DROP TRIGGER ${name};
CREATE TRIGGER ${name} AFTER ${act} ON ${table} BEGIN${dateOf(subject, session, sessionMade(session))}
END;`)
      }
    }
    for (const [act, row] of [
      ['INSERT', 'new'],
      ['DELETE', 'old'],
    ] as const) {
      const version = `${row}.chain_version_id`
      const madeAt = `(SELECT created_at FROM chain_versions WHERE id = ${version})`
      db.exec(`
CREATE TRIGGER chain_pins_dated_${act.toLowerCase()} AFTER ${act} ON chain_pins BEGIN${dateOf('pins', version, madeAt)}
END;`)
    }
    // Pins that are there came after the making of their version.
    db.exec(`
INSERT INTO dated_changes (of_table, row_id, at, machine)
  SELECT 'pins', chain_version_id, strftime('%Y-%m-%dT%H:%M:%fZ', chain_versions.created_at, '+0.001 seconds'), NULL
  FROM chain_pins JOIN chain_versions ON chain_versions.id = chain_version_id;`)
  },
}

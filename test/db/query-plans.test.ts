// Every query that a list or a search asks, held against SQLite's own plan for it, so that
// a large catalogue stays as quick as a small one. https://www.sqlite.org/eqp.html

import Database from 'better-sqlite3'
import { afterAll, describe, expect, it } from 'vitest'
import { migrate } from '../../db/care/migrate.ts'
import { addSqlFunctions } from '../../db/care/sql-functions.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { artistQueries } from '../../db/tables/artists.ts'
import { voiceHistoryQueries } from '../../db/tables/book/voice-history.ts'
import { bounceQueries } from '../../db/tables/bounces.ts'
import { chainDraftQueries } from '../../db/tables/chain-drafts.ts'
import { chainQueries } from '../../db/tables/chains.ts'
import { curveQueries } from '../../db/tables/curves.ts'
import { foundTakeQueries } from '../../db/tables/found-takes.ts'
import { groupQueries } from '../../db/tables/groups.ts'
import { layerQueries } from '../../db/tables/layers.ts'
import { ledgerQueries } from '../../db/tables/ledger.ts'
import { micQueries } from '../../db/tables/mics.ts'
import { sectionQueries } from '../../db/tables/sections/sections.ts'
import { sessionQueries } from '../../db/tables/sessions.ts'
import { songQueries } from '../../db/tables/songs.ts'
import { takeQueries } from '../../db/tables/takes.ts'
import { voiceQueries } from '../../db/tables/voices.ts'

const db = new Database(':memory:')
addSqlFunctions(db)
migrate(db, migrations)
afterAll(() => db.close())

/** The text of every statement that a subject prepares. */
function statementsOf(prepare: (db: Database.Database) => unknown): string[] {
  const heard: string[] = []
  prepare(
    new Proxy(db, {
      get(target, name) {
        if (name !== 'prepare') return Reflect.get(target, name, target)
        return (sql: string) => {
          heard.push(sql)
          return target.prepare(sql)
        }
      },
    }),
  )
  return heard
}

const planOf = (sql: string): string[] =>
  db
    .prepare<unknown[], { detail: string }>(`EXPLAIN QUERY PLAN ${sql.replace(/@\w+|\?/g, '1')}`)
    .all()
    .map((step) => step.detail)

/** A step that reads a whole table, row by row. */
const isWholeTable = (step: string): boolean =>
  /^SCAN (?!CONSTANT)/.test(step) && !/INDEX|VIRTUAL TABLE/.test(step)

const subjects = {
  takes: takeQueries,
  foundTakes: foundTakeQueries,
  sessions: sessionQueries,
  groups: groupQueries,
  layers: layerQueries,
  bounces: bounceQueries,
  artists: artistQueries,
  voices: voiceQueries,
  mics: micQueries,
  curves: curveQueries,
  songs: songQueries,
  chains: chainQueries,
  chainDrafts: chainDraftQueries,
  sections: sectionQueries,
  voiceHistory: voiceHistoryQueries,
}

describe('query plans', () => {
  it.each(Object.entries(subjects))('%s: what asks for a part reads no whole table', (_, prepare) => {
    const asked = statementsOf(prepare)
      .filter((sql) => /WHERE|JOIN/.test(sql))
      // The places of all takes, and the chains of all sessions, are asked for as a whole.
      .filter((sql) => !/^SELECT (name, path FROM takes UNION ALL|DISTINCT session_id)/.test(sql))
      // So are all takes, by the search for missing ones of all sessions.
      .filter((sql) => !/FROM takes ORDER BY id$/.test(sql.trim()))
    expect(asked.length).toBeGreaterThan(0)
    for (const sql of asked) expect(planOf(sql).filter(isWholeTable), sql).toEqual([])
  })

  it('a page of takes is cut from the index of imports, without sorting the whole', () => {
    const sql = statementsOf(foundTakeQueries).find(
      (each) => each.includes('OFFSET') && !each.includes('MATCH'),
    )!
    const plan = planOf(sql)
    expect(plan).toContain('SCAN takes USING COVERING INDEX takes_by_import')
    expect(plan).toContain('SEARCH takes USING INTEGER PRIMARY KEY (rowid=?)')
    // The page alone is put in order, after it was cut.
    expect(plan.filter((step) => step.includes('TEMP B-TREE'))).toEqual(['USE TEMP B-TREE FOR ORDER BY'])
  })

  it('a search asks the full-text index, which gives the newest first by itself', () => {
    const sql = statementsOf(foundTakeQueries).find((each) => each.includes('MATCH'))!
    const plan = planOf(sql)
    expect(plan.some((step) => /^SCAN takes_search VIRTUAL TABLE INDEX .*M/.test(step))).toBe(true)
    expect(plan).toContain('SEARCH takes USING INTEGER PRIMARY KEY (rowid=?)')
    expect(plan.filter((step) => step.includes('TEMP B-TREE'))).toEqual([])
  })

  it('the list of sessions is read off the index of days', () => {
    const sql = statementsOf(sessionQueries).find((each) => each.includes('ORDER BY date'))!
    expect(planOf(sql)[0]).toBe('SCAN sessions USING INDEX sessions_by_date')
  })

  it('the ledger takes the newest of each kind from an index of its own', () => {
    const [ofAll, ofArtist, newestTime] = statementsOf(ledgerQueries)
    const plan = planOf(ofAll!)
    for (const [table, index] of [
      ['takes', 'takes_by_import'],
      ['sessions', 'sessions_by_making'],
      ['chain_versions', 'chain_versions_by_making'],
      ['bounces', 'bounces_by_making'],
      ['artists', 'artists_by_making'],
      ['voices', 'voices_by_making'],
      ['songs', 'songs_by_making'],
      ['entity_changes', 'entity_changes_by_making'],
    ]) {
      expect(plan).toContain(`SCAN ${table} USING COVERING INDEX ${index}`)
      expect(plan).toContain(`SEARCH ${table} USING INTEGER PRIMARY KEY (rowid=?)`)
      // SQLite's way of saying that it takes the greatest from an index and reads no further.
      expect(planOf(newestTime!)).toContain(`SEARCH ${table} USING COVERING INDEX ${index}`)
    }
    const artistPlan = planOf(ofArtist!)
    expect(artistPlan).toContain('SEARCH takes USING COVERING INDEX takes_of_voice (voice_id=?)')
    expect(artistPlan).toContain('SEARCH takes USING INTEGER PRIMARY KEY (rowid=?)')
    expect(artistPlan.filter((step) => /^SCAN takes/.test(step))).toEqual([])
  })
})

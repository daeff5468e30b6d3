// What a catalogue holds in place of JSON, or of the JSON it should be, is said in a sentence.

import Database from 'better-sqlite3'
import { expect, it } from 'vitest'
import { fill, sha256Of, stages } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'

it.each([
  ['no JSON', '[{"kind":', /: it is not JSON\. Put back/],
  ['a number', '5', /: invalid input: expected array, received number\. Put back/],
  ['nothing', '', /: it is not JSON\. Put back/],
  ['another stage', '[{"kind":"reverb"}]', /: at \[0\]\.kind: invalid/],
])('stages that are %s', (_what, text, why) => {
  const catalogue = openForTest()
  fill(catalogue)
  const [chain] = catalogue.chains.list()
  const { id, number } = catalogue.chains.insertVersion(
    { chainId: chain.id, stages, sha256: sha256Of('stages'), note: '' },
    '2026-11-25T10:00:00.000Z',
  )
  // As a damaged disk would leave it: past the checks and the triggers that keep versions as they are.
  const other = new Database(catalogue.path)
  other.pragma('ignore_check_constraints = ON')
  for (const name of other.prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'").pluck().all()) {
    other.exec(`DROP TRIGGER "${name}"`)
  }
  other.prepare('UPDATE chain_versions SET stages = ? WHERE id = ?').run(text, id)
  other.close()

  for (const read of [() => catalogue.chains.version(id), () => catalogue.chains.versions(chain.id)]) {
    const { code, message } = failureOf(read)
    expect(code).toBe('catalogue-damaged')
    expect(message).toMatch(why)
    expect(message).toContain(`version ${number} of the chain "${chain.name}"`)
  }
})

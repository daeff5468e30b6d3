// A process of its own that writes to a catalogue, for tests that need two or that kill one.
// Says on standard output what it has done, one line each, and waits for its end where the call says so.

import { writeSync } from 'node:fs'
import { Failure } from '../../app/contract/failure.ts'
import type { Migration } from '../../db/care/migrate.ts'
import { type Catalogue, openCatalogue } from '../../db/catalogue.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { schemaOf } from '../../db/schema.ts'
import { minute, newTake } from './entries.ts'

const [act, path] = process.argv.slice(2) as [string, string]
// Written at once, past the stream's buffers, so that a line that was said was also done.
const say = (line: string): void => {
  writeSync(1, `${line}\n`)
}
const waitForTheEnd = (): void => {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0)
}
const addArtist = (catalogue: Catalogue, name: string) =>
  catalogue.artists.insert({ name, note: '' }, minute(0))

switch (act) {
  case 'add-one': {
    const catalogue = openCatalogue(path)
    addArtist(catalogue, `process ${process.pid}`)
    catalogue.close()
    break
  }
  case 'stop-in-transaction': {
    const catalogue = openCatalogue(path)
    for (let n = 0; n < 20; n++) say(addArtist(catalogue, `kept ${n}`).name)
    catalogue.transaction(() => {
      // More than the page cache holds, so that uncommitted pages stand in the log already.
      for (let n = 0; n < 20_000; n++) catalogue.takes.insert(newTake(`lost ${n}`))
      addArtist(catalogue, 'lost')
      say('in transaction')
      waitForTheEnd()
    })
    break
  }
  case 'write-on': {
    const catalogue = openCatalogue(path)
    for (let n = 0; ; n++) {
      catalogue.transaction(() => {
        addArtist(catalogue, `${process.pid} ${n} a`)
        addArtist(catalogue, `${process.pid} ${n} b`)
      })
      say(`${process.pid} ${n}`)
    }
  }
  case 'stop-in-migration': {
    const stuck: Migration = {
      number: migrations.at(-1)!.number + 1,
      migrate(db) {
        db.exec('ALTER TABLE artists ADD COLUMN colour TEXT; DELETE FROM layers')
        say('in migration')
        waitForTheEnd()
      },
    }
    openCatalogue(path, [...migrations, stuck])
    break
  }
  case 'say-failure-of-opening': {
    // File modes do not bind the superuser. The database library is loaded while its file can surely be read.
    schemaOf(migrations)
    if (process.getuid?.() === 0) process.setuid?.('nobody')
    try {
      openCatalogue(path).close()
      say('opened')
    } catch (error) {
      say(error instanceof Failure ? error.code : String(error))
    }
    break
  }
  default:
    throw new Error(`There is no act ${act}`)
}

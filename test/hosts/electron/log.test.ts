// The desktop program's log: private, of a limited size, readable by somebody who helps.

import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { homedir, tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { openLog } from '../../../app/hosts/electron/log-file.ts'
import { openPage, readLog, setUpDesktop, start } from './desktop.ts'
import { app } from './fake-electron.ts'

vi.mock('electron', () => import('./fake-electron.ts'))

const root = mkdtempSync(join(tmpdir(), 'takeloft-log-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))
let folder: string
beforeEach(() => {
  folder = mkdtempSync(join(root, 'log-'))
})
const read = (name = 'takeloft.log'): string => readFileSync(join(folder, name), 'utf8')
const modeOf = (path: string): number => statSync(path).mode & 0o777

describe('the log', () => {
  it('is a file that only its user can read, in a folder that only its user can enter', () => {
    const below = join(folder, 'logs')
    openLog(below, () => {}).note('Opened.')
    expect([modeOf(below), modeOf(join(below, 'takeloft.log'))]).toEqual([0o700, 0o600])
  })

  it('has a line for each entry, with its time, after what was there', () => {
    writeFileSync(join(folder, 'takeloft.log'), 'earlier\n')
    const log = openLog(folder, () => {})
    log.note('Opened.')
    log.note('Closed.')
    expect(read()).toMatch(/^earlier\n\d{4}-\d\d-\d\dT[\d:.]+Z Opened\.\n[\dTZ:.-]+ Closed\.\n$/)
  })

  it('shows the home folder as ~, and no text in it can look like an entry of its own', () => {
    openLog(folder, () => {}).note(
      `Opened ${join(homedir(), 'x.sqlite')}.\n2026-01-01T00:00:00.000Z Forged.\u001b[2J`,
    )
    expect(read()).toContain('Opened ~/x.sqlite.\n  2026-01-01T00:00:00.000Z Forged. [2J\n')
    expect(read()).not.toContain(homedir())
  })

  it('says where an error came from and what caused it', () => {
    const cause = new TypeError('curve is undefined')
    openLog(folder, () => {}).unexpected(new Error('The plan cannot be made', { cause }))
    expect(read()).toMatch(/Error: The plan cannot be made\n {2,}at .*log\.test\.ts/)
    expect(read()).toMatch(/caused by TypeError: curve is undefined\n/)
  })

  it('shortens an entry that would fill it', () => {
    openLog(folder, () => {}).note('x'.repeat(1_000_000))
    expect(read().length).toBeLessThan(20_000)
  })

  it('that cannot be written stops nothing, and is said once', () => {
    writeFileSync(join(folder, 'a file'), '')
    const echoed: string[] = []
    const log = openLog(join(folder, 'a file'), (entry) => echoed.push(entry))
    log.note('One.')
    log.note('Two.')
    expect(echoed.filter((entry) => entry.includes('cannot be written'))).toHaveLength(1)
    expect(echoed.filter((entry) => /(One|Two)\.$/.test(entry))).toHaveLength(2)
  })
})

describe('in the log of the desktop program', () => {
  const desktop = setUpDesktop()
  const listenersOf = (name: string) =>
    (process.listeners as (name: string) => ((error: unknown) => void)[])(name)

  it('stand its starts, its catalogues and the ends of its processes', async () => {
    await start()
    app.emit('child-process-gone', {}, { type: 'GPU', reason: 'crashed' })
    expect(readLog()).toMatch(/Takeloft \d+\.\d+\.\d+ on \w+ \w+\.\n/)
    // The test's folder is its home.
    expect(readLog()).toContain('Opened ~/catalogue.sqlite.')
    expect(readLog()).toContain('A process has ended: GPU, crashed.')
    expect(readLog()).not.toContain(desktop.folder)
  })

  it.each(['uncaughtException', 'unhandledRejection'])('stands %s, and the program goes on', async (name) => {
    const before = listenersOf(name)
    await start()
    const own = () => listenersOf(name).filter((one) => !before.includes(one))
    await vi.waitFor(() => expect(own()).toHaveLength(1))
    own()[0](new Error('nobody has caught this'))
    expect(readLog()).toContain('Error: nobody has caught this')
    expect(await connect(await openPage()).client.listArtists({})).toEqual([])
  })

  it('is no line of what is in the catalogue', async () => {
    await start()
    const { client } = connect(await openPage())
    await client.createArtist({ name: 'Maren Holt', note: 'a secret' })
    await client.openSession({ id: 31 }).catch(() => {})
    expect(readLog()).not.toMatch(/Maren|secret|session/)
    expect(existsSync(join(desktop.folder, 'catalogue.sqlite'))).toBe(true)
  })
})

// What an import says while it runs: the share of the bytes of all its files, and the file that is being read.

import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { paced } from '../../../app/services/paced.ts'
import { createImportProgress } from '../../../app/services/takes/import-progress.ts'
import { makeFolder } from '../../audio/outside-tools.ts'

const folder = makeFolder()
const file = (name: string, bytes: number) => {
  writeFileSync(join(folder, name), Buffer.alloc(bytes))
  return { path: join(folder, name), name }
}

describe('the progress of an import', () => {
  it('is by bytes, so that a short file counts little, and names the file', () => {
    const said: [number, string][] = []
    const progress = createImportProgress([file('short.wav', 100), file('long.wav', 900)], (...words) =>
      said.push(words),
    )
    progress.begin(0)
    progress.begin(1)
    progress.end(0, true)
    progress.advance(1, 0.5)
    progress.end(1, true)
    expect(said.map(([, doing]) => doing)).toEqual([
      '0 of 2: short.wav',
      '0 of 2: short.wav',
      '1 of 2: long.wav',
      '1 of 2: long.wav',
      '2 of 2',
    ])
    const fractions = said.map(([fraction]) => fraction)
    expect(fractions.slice(0, 3)).toEqual([0, 0, 0.1])
    // Half of the long one, less what is left to do when it is measured.
    expect(fractions[3]).toBeGreaterThan(0.5)
    expect(fractions[3]).toBeLessThan(0.55)
    expect(fractions[4]).toBe(1)
  })

  it('goes on past files that are refused or cannot be read', () => {
    const said: [number, string][] = []
    const gone = { path: join(folder, 'gone.wav'), name: 'gone.wav' }
    const progress = createImportProgress([gone, gone], (...words) => said.push(words))
    for (const index of [0, 1]) {
      progress.begin(index)
      progress.end(index, false)
    }
    expect(said.at(-1)).toEqual([1, '0 of 2'])
  })
})

describe('paced calls', () => {
  beforeEach(() => void vi.useFakeTimers())
  afterEach(() => void vi.useRealTimers())

  it('begin at once, follow once per interval, and end with what is due', () => {
    const act = vi.fn()
    const { ask, flush } = paced(act, 300)
    ask()
    expect(act).toHaveBeenCalledTimes(1)
    for (let k = 0; k < 50; k++) ask()
    expect(act).toHaveBeenCalledTimes(1)
    vi.advanceTimersByTime(300)
    expect(act).toHaveBeenCalledTimes(2)
    ask()
    flush()
    expect(act).toHaveBeenCalledTimes(3)
    flush()
    vi.advanceTimersByTime(900)
    expect(act).toHaveBeenCalledTimes(3)
    expect(vi.getTimerCount()).toBe(0)
  })

  it('are not made again where nothing asked meanwhile', () => {
    const act = vi.fn()
    const { ask } = paced(act, 300)
    ask()
    vi.advanceTimersByTime(900)
    ask()
    expect(act).toHaveBeenCalledTimes(2)
  })
})

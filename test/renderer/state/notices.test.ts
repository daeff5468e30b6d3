// What the window says of a long act: why it failed, until it is tried again.

import { describe, expect, it } from 'vitest'
import { Failure } from '../../../app/contract/failure.ts'
import { runLongAct, shownNotices } from '../../../renderer/state/notices.ts'

describe('a long act that failed', () => {
  it('says why until it is tried again, and nothing of it once it is done', async () => {
    const fail = () => Promise.reject(new Failure('not-writable', 'No room; choose another folder.'))
    await runLongAct('Bounce of One', fail)
    await runLongAct('Bounce of Two', fail)
    await runLongAct('Bounce of One', fail)
    expect(shownNotices.getState().notices.map(({ title }) => title)).toEqual([
      'Bounce of Two did not finish',
      'Bounce of One did not finish',
    ])
    expect(await runLongAct('Bounce of One', async () => 'stems')).toBe('stems')
    expect(shownNotices.getState().notices.map(({ title }) => title)).toEqual([
      'Bounce of Two did not finish',
    ])
  })
})

describe('a long act that was cancelled', () => {
  it('says what it kept, in passing and not as a failure', async () => {
    const cancelled = new Failure('cancelled', 'Cancelled; 1 of 3 takes was imported.')
    expect(await runLongAct('Import of 3 files', () => Promise.reject(cancelled))).toBeUndefined()
    expect(shownNotices.getState().notices.at(-1)).toMatchObject({
      kind: 'remark',
      title: 'Import of 3 files',
      sentences: ['Cancelled; 1 of 3 takes was imported.'],
    })
  })
})

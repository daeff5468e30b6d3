// What the window says of a background task: why it failed, until it is tried again.

import { describe, expect, it } from 'vitest'
import { Failure } from '../../../app/contract/failure.ts'
import {
  dismissFailures,
  remark,
  reportFailure,
  runBackgroundTask,
  shownNotices,
} from '../../../renderer/state/notices.ts'

describe('a background task that failed', () => {
  it('says why until it is tried again, and nothing of it once it is done', async () => {
    const fail = () => Promise.reject(new Failure('not-writable', 'No room; choose another folder.'))
    await runBackgroundTask('Bounce of One', fail)
    await runBackgroundTask('Bounce of Two', fail)
    await runBackgroundTask('Bounce of One', fail)
    expect(shownNotices.getState().notices.map(({ title }) => title)).toEqual([
      'Bounce of Two did not finish',
      'Bounce of One did not finish',
    ])
    expect(await runBackgroundTask('Bounce of One', async () => 'stems')).toBe('stems')
    expect(shownNotices.getState().notices.map(({ title }) => title)).toEqual([
      'Bounce of Two did not finish',
    ])
  })
})

describe('a background task that was cancelled', () => {
  it('says what it kept, in passing and not as a failure', async () => {
    const cancelled = new Failure('cancelled', 'Cancelled; 1 of 3 takes was imported.')
    expect(await runBackgroundTask('Import of 3 files', () => Promise.reject(cancelled))).toBeUndefined()
    expect(shownNotices.getState().notices.at(-1)).toMatchObject({
      kind: 'remark',
      title: 'Import of 3 files',
      sentences: ['Cancelled; 1 of 3 takes was imported.'],
    })
  })
})

describe('failures', () => {
  it('are counted instead of repeated, and go away together while remarks stay', () => {
    shownNotices.setState({ notices: [] })
    for (let k = 0; k < 3; k++) reportFailure('Not saved', new Error('The disk is full.'))
    reportFailure('Not saved', new Error('The folder is gone.'))
    remark('Saved as version 2')
    expect(shownNotices.getState().notices.map(({ sentences, times }) => [sentences[0], times])).toEqual([
      ['The disk is full.', 3],
      ['The folder is gone.', 1],
      [undefined, 1],
    ])
    dismissFailures()
    expect(shownNotices.getState().notices.map(({ title }) => title)).toEqual(['Saved as version 2'])
  })
})

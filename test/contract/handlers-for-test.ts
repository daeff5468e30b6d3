// Handlers that answer, fail, break, report and wait, each behind a command whose types fit.

import { EventEmitter } from 'node:events'
import { cancelledFailure, Failure } from '../../app/contract/failure.ts'
import { type CommandName, commands, type Handlers } from '../../app/contract/wire/commands.ts'

/**
 * 'waiting' when verifyBounce has begun to wait, 'cancelled' once its signal has been aborted; 'closed' for
 * each playback whose page is gone.
 */
export const happened = new EventEmitter()

const others = Object.fromEntries(
  (Object.keys(commands) as CommandName[]).map((name) => [
    name,
    async () => {
      throw new Error(`${name} is no part of this test`)
    },
  ]),
) as unknown as Handlers

export const handlersForTest: Handlers = {
  ...others,
  createArtist: async (fields) => ({ id: 7, ...fields }),
  openSession: async ({ id }) => {
    throw new Failure('not-found', `There is no session ${id}; choose another.`, { id, table: 'sessions' })
  },
  listMics: async () => {
    throw new TypeError('curve is undefined')
  },
  bounceSession: async ({ folder }, { report }) => {
    report(0.25, 'Rendering lead')
    report(1, 'Writing the manifest')
    return { manifest: `${folder}/manifest.json`, stems: [], remarks: [] }
  },
  openPlayback: async (_source, { page }) => {
    page!.addEventListener('abort', () => happened.emit('closed'))
    return { playbackId: 'a', sampleRateHz: 48_000, startFrame: 0, frames: 0 }
  },
  verifyBounce: (_input, { signal }) =>
    new Promise((_resolve, reject) => {
      signal.addEventListener('abort', () => {
        happened.emit('cancelled')
        reject(cancelledFailure())
      })
      happened.emit('waiting')
    }),
}

// Contract ports over Electron's IPC: one for each page that the window loads, so that the answer to a
// request made before a reload never reaches the page loaded after it.

import type { WebContents } from 'electron'
import type { Port } from '../../contract/wire/port.ts'
import { isOwnPage } from './own-page.ts'

/** Carries messages between a page and the services; arguments in both directions: (page id, message). */
const CHANNEL = 'takeloft-port'
export type Channel = typeof CHANNEL
/** A page reports here that it is unloading; argument: (page id). */
const LEFT_CHANNEL = 'takeloft-left'
export type LeftChannel = typeof LEFT_CHANNEL

interface Page {
  readonly id: string
  hear(message: unknown): void
  closed(): void
}

/**
 * Calls `open` with the port of each new page of this window. Messages from other windows never
 * arrive here; those from frames inside the page or from another origin are dropped unread.
 */
export function acceptPages(contents: WebContents, open: (port: Port) => void): void {
  let page: Page | undefined
  const ended = new Set<string>()

  const end = (): void => {
    if (page === undefined) return
    const { id, closed } = page
    page = undefined
    ended.add(id)
    closed()
  }

  const portOf = (id: string): Port => {
    const self: Page = { id, hear: () => {}, closed: () => {} }
    page = self
    return {
      post(message) {
        if (page === self && !contents.isDestroyed()) contents.send(CHANNEL, id, message)
      },
      listen(hear, closed) {
        Object.assign(self, { hear, closed })
        return () => Object.assign(self, { hear: () => {}, closed: () => {} })
      },
    }
  }

  contents.ipc.on(CHANNEL, ({ senderFrame }, id: unknown, message: unknown) => {
    if (!isOwnPage(contents, senderFrame)) return
    // Messages of a page that has been left may still arrive.
    if (typeof id !== 'string' || ended.has(id)) return
    if (page?.id !== id) {
      end()
      open(portOf(id))
    }
    page?.hear(message)
  })
  // The frame is not checked because it may be gone already; only the page itself has its random id.
  contents.ipc.on(LEFT_CHANNEL, (_event, id: unknown) => {
    if (page?.id === id) end()
  })
  contents.on('render-process-gone', end)
  contents.on('destroyed', end)
}

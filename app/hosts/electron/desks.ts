// All catalogues that are open, each in a window of its own.

import { resolve } from 'node:path'
import type { BrowserWindow } from 'electron'
import { catalogueKey } from './catalogue-key.ts'
import { type Desk, type DeskSettings, openDesk } from './desk.ts'

export interface Desks {
  /**
   * Opens the catalogue in a window, or brings the window forward where it is open already.
   * @throws Failure as openWorkplace
   */
  open(cataloguePath: string): Promise<void>
  /** All whose windows are closed have ended. */
  ended(): Promise<void>
}

export function createDesks(settings: DeskSettings): Desks {
  const desks = new Map<string, Desk>()

  return {
    async open(cataloguePath) {
      const path = resolve(cataloguePath)
      const known = desks.get(catalogueKey(path))
      if (known !== undefined && !known.window.isDestroyed()) return bringForward(known.window)
      // It is being closed.
      await known?.ended
      const desk = openDesk(path, settings)
      desks.set(desk.key, desk)
      void desk.ended.then(() => {
        if (desks.get(desk.key) === desk) desks.delete(desk.key)
      })
      await desk.load()
    },
    async ended() {
      await Promise.all([...desks.values()].map(({ ended }) => ended))
    },
  }
}

function bringForward(window: BrowserWindow): void {
  if (window.isMinimized()) window.restore()
  window.focus()
}

// All open catalogues, each in a window of its own.

import { resolve } from 'node:path'
import type { BrowserWindow } from 'electron'
import { catalogueKey } from './catalogue-key.ts'
import {
  type CatalogueWindow,
  type CatalogueWindowSettings,
  openCatalogueWindow,
} from './catalogue-window.ts'

/** The open windows, one for each catalogue. */
export interface CatalogueWindows {
  /**
   * Opens the catalogue in a window, or brings its window forward if it is open already.
   * @throws Failure as openWorkplace
   */
  open(cataloguePath: string): Promise<void>
  /** Resolves when all catalogues whose windows are closed have been closed. */
  ended(): Promise<void>
}

/** The registry, with no window open yet. */
export function createCatalogueWindows(settings: CatalogueWindowSettings): CatalogueWindows {
  const windows = new Map<string, CatalogueWindow>()

  return {
    async open(cataloguePath) {
      const path = resolve(cataloguePath)
      const key = catalogueKey(path)
      for (let known = windows.get(key); known !== undefined; known = windows.get(key)) {
        if (!known.window.isDestroyed()) return bringForward(known.window)
        // The catalogue is being closed.
        await known.ended
      }
      const catalogueWindow = openCatalogueWindow(path, settings)
      windows.set(catalogueWindow.key, catalogueWindow)
      void catalogueWindow.ended.then(() => {
        if (windows.get(catalogueWindow.key) === catalogueWindow) windows.delete(catalogueWindow.key)
      })
      await catalogueWindow.load()
    },
    async ended() {
      await Promise.all([...windows.values()].map(({ ended }) => ended))
    },
  }
}

function bringForward(window: BrowserWindow): void {
  if (window.isMinimized()) window.restore()
  window.focus()
}

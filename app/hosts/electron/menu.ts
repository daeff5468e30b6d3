// The application menu: Electron's standard roles and this program's own items. Undo and redo are left
// out, because their accelerators would bypass the window's own undo history.

import { app, type BaseWindow, BrowserWindow, Menu, type MenuItemConstructorOptions } from 'electron'

/** Actions of the program's own menu items. */
export interface MenuActs {
  openCatalogue(window: BrowserWindow | null): void
  print(window: BrowserWindow): void
  openLogFolder(): void
}

/** The application menu. */
export function createMenu({ openCatalogue, print, openLogFolder }: MenuActs): Menu {
  const isMac = process.platform === 'darwin'
  const template: MenuItemConstructorOptions[] = [
    // About, Hide and Quit.
    ...(isMac ? [{ role: 'appMenu' } as const] : []),
    {
      label: '&File',
      submenu: [
        {
          label: 'Open Catalogue…',
          accelerator: 'CmdOrCtrl+O',
          click: (_item, window) => openCatalogue(pageWindow(window)),
        },
        { type: 'separator' },
        {
          label: 'Print…',
          accelerator: 'CmdOrCtrl+P',
          click: (_item, window) => {
            const shown = pageWindow(window)
            if (shown !== null) print(shown)
          },
        },
        { type: 'separator' },
        { role: 'close' },
        ...(isMac ? [] : [{ role: 'quit' } as const]),
      ],
    },
    {
      role: 'editMenu',
      submenu: [
        { role: 'cut' },
        { role: 'copy' },
        { role: 'paste' },
        { role: 'delete' },
        { type: 'separator' },
        { role: 'selectAll' },
      ],
    },
    {
      label: '&View',
      submenu: [
        { role: 'reload' },
        { type: 'separator' },
        { role: 'resetZoom' },
        { role: 'zoomIn' },
        { role: 'zoomOut' },
        { type: 'separator' },
        { role: 'togglefullscreen' },
        // For development.
        ...(app.isPackaged ? [] : [{ type: 'separator' } as const, { role: 'toggleDevTools' } as const]),
      ],
    },
    { role: 'windowMenu' },
    {
      role: 'help',
      submenu: [
        { label: 'Open Log Folder', click: openLogFolder },
        ...(isMac ? [] : [{ type: 'separator' } as const, { role: 'about' } as const]),
      ],
    },
  ]
  return Menu.buildFromTemplate(template)
}

const pageWindow = (window: BaseWindow | undefined): BrowserWindow | null =>
  window instanceof BrowserWindow ? window : null

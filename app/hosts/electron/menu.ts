// The menu: Electron's own roles and nothing of ours. Undo and redo are left out, because
// their keys would be taken from the window, which undoes more than typing.

import { Menu, type MenuItemConstructorOptions } from 'electron'

export function createMenu(): Menu {
  const template: MenuItemConstructorOptions[] = [
    ...(process.platform === 'darwin' ? [{ role: 'appMenu' } as const] : []),
    { role: 'fileMenu' },
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
    { role: 'viewMenu' },
    { role: 'windowMenu' },
  ]
  return Menu.buildFromTemplate(template)
}

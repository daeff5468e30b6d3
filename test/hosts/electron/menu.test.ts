// The application menu has the standard items, and no accelerator that the page uses.

import { describe, expect, it, vi } from 'vitest'
import { logFolder } from '../../../app/hosts/log-folder.ts'
import { KEY_ACTS } from '../../../renderer/keys/key-table.ts'
import { setUpDesktop, start } from './desktop.ts'
import { app } from './fake-electron.ts'
import { electron, type FakeMenuItem } from './fake-state.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
setUpDesktop()

const nameOf = ({ label, role }: FakeMenuItem): string | undefined => label ?? role
const menuOf = (name: string): (string | undefined)[] | undefined =>
  electron.menu?.find((item) => nameOf(item) === name)?.submenu?.map(nameOf)
const onPlatform = (platform: string): void => {
  vi.spyOn(process, 'platform', 'get').mockReturnValue(platform as NodeJS.Platform)
}

describe('the menu', () => {
  it('has File, Edit, View, Window and Help with the standard items', async () => {
    onPlatform('linux')
    await start()
    expect(electron.menu?.map(nameOf)).toEqual(['&File', 'editMenu', '&View', 'windowMenu', 'help'])
    const items = (name: string) => menuOf(name)?.filter((item) => item !== undefined)
    expect(items('&File')).toEqual(['Open Catalogue…', 'Print…', 'close', 'quit'])
    expect(items('&View')).toEqual(['reload', 'resetZoom', 'zoomIn', 'zoomOut', 'togglefullscreen'])
    expect(items('help')).toEqual(['Open Log Folder', 'about'])
    expect(items('editMenu')).toEqual(['cut', 'copy', 'paste', 'delete', 'selectAll'])
  })

  it('has the application menu first on macOS, which contains Quit and About', async () => {
    onPlatform('darwin')
    await start()
    expect(electron.menu?.map(nameOf)).toEqual([
      'appMenu',
      '&File',
      'editMenu',
      '&View',
      'windowMenu',
      'help',
    ])
    expect(menuOf('&File')).not.toContain('quit')
    expect(menuOf('help')).not.toContain('about')
  })

  it('has the developer tools only in unpackaged builds', async () => {
    app.isPackaged = false
    await start().finally(() => {
      app.isPackaged = true
    })
    expect(menuOf('&View')).toContain('toggleDevTools')
  })

  it('has no accelerator that the page uses', async () => {
    await start()
    const own = electron.menu!.flatMap(({ submenu = [] }) => submenu)
    // Electron's undo and redo roles have accelerators of their own.
    expect(own.map(({ role }) => role)).not.toEqual(expect.arrayContaining(['undo']))
    expect(own.map(({ role }) => role)).not.toEqual(expect.arrayContaining(['redo']))
    const taken = own.flatMap(({ accelerator }) => accelerator ?? [])
    expect(taken).toEqual(['CmdOrCtrl+O', 'CmdOrCtrl+P'])
    const ofThePage = Object.values(KEY_ACTS).flatMap(({ strokes }) =>
      (strokes as readonly { key: string; command?: true }[]).flatMap(({ key, command }) =>
        command ? `CmdOrCtrl+${key.toUpperCase()}` : [],
      ),
    )
    expect(ofThePage).toContain('CmdOrCtrl+Z')
    expect(taken.filter((one) => ofThePage.includes(one))).toEqual([])
  })

  it('opens the log folder', async () => {
    await start()
    const item = electron
      .menu!.flatMap(({ submenu = [] }) => submenu)
      .find(({ label }) => label === 'Open Log Folder')
    item!.click!({}, undefined)
    expect(electron.openedPaths).toEqual([logFolder()])
  })
})

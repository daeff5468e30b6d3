// What the window asks of the shell that it runs in, in Electron: what comes back, and what fails.

import { afterEach, describe, expect, it, vi } from 'vitest'
import { Failure } from '../../../app/contract/failure.ts'
import { openBridge, type PreloadBridge } from '../../../renderer/state/bridge.ts'

const FAILURE = {
  code: 'conflict',
  message: 'lead.wav is a take; choose another name.',
  details: {},
} as const
const FILE = { name: 'Rap main.chain.json', text: '{}' }

function bridgeOver(preload: Partial<PreloadBridge>) {
  vi.stubGlobal('window', { takeloftBridge: preload })
  return openBridge()
}
afterEach(() => vi.unstubAllGlobals())

describe('saving a file', () => {
  it('hands name and text to the shell, and gives where it is, or null', async () => {
    const saveFile = vi.fn(async () => ({ savedAs: '/music/Mine.chain.json' }))
    expect(await bridgeOver({ saveFile }).saveFile(FILE)).toBe('/music/Mine.chain.json')
    expect(saveFile).toHaveBeenCalledWith(FILE)
    expect(await bridgeOver({ saveFile: async () => null }).saveFile(FILE)).toBeNull()
  })

  it('throws the failure of the shell', async () => {
    const saved = bridgeOver({ saveFile: async () => ({ failure: FAILURE }) }).saveFile(FILE)
    await expect(saved).rejects.toBeInstanceOf(Failure)
    await expect(saved).rejects.toMatchObject(FAILURE)
  })
})

describe('printing', () => {
  it('is done by the shell, and throws its failure', async () => {
    await bridgeOver({ print: async () => null }).print()
    await expect(bridgeOver({ print: async () => FAILURE }).print()).rejects.toMatchObject(FAILURE)
  })
})

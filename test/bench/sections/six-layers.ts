// Six layers through every stage of a chain each, in the real window: Chromium on the loopback host.

import { chromium, type Page } from 'playwright-core'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { WHOLE_CHAIN } from '../like-chain.ts'
import { steadyNoise } from '../material.ts'
import { freshFolder, inRoot } from '../places.ts'
import { buildSessions } from '../stack-session.ts'
import { CHROMIUM } from '../tools.ts'

const GROUPS = ['Lead', 'Doubles', 'Doubles', 'Doubles', 'Ad-libs', 'Ad-libs'] as const
export const SIX_LAYERS = GROUPS.length
const SONG_SECONDS = 180

/** Opens the stack of six layers, lets `act` use the window, and closes all. @param id of the section */
export async function withSixLayers(
  id: string,
  say: (message: string) => void,
  act: (page: Page) => Promise<void>,
): Promise<void> {
  const folder = freshFolder(id)
  say('placing the layers')
  await buildWindowIfNeeded(say)
  await buildSessions(`${folder}/catalogue.sqlite`, [
    {
      title: 'Six layers',
      layers: GROUPS.map((group, k) => ({ take: steadyNoise(SONG_SECONDS, k + 1), group })),
      stages: WHOLE_CHAIN,
      sharing: 'own',
    },
  ])
  const workplace = openWorkplace(inRoot(`${folder}/catalogue.sqlite`))
  const host = await startLoopbackHost(workplace, { port: 0, log: say })
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-gpu'] })
  try {
    const page = await browser.newPage()
    await page.goto(`${host.address}&capture`)
    await page.waitForURL((url) => !url.searchParams.has('token'))
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await act(page)
  } finally {
    await browser.close()
    await host.close()
    await workplace.close()
  }
}

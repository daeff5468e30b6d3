// S4: six layers through every stage play for ten minutes in the real window, and dropouts are counted.

import { loadavg } from 'node:os'
import type { BenchOptions } from '../options.ts'
import type { Cell, Section } from '../report.ts'
import { CHROMIUM, haveProgram } from '../tools.ts'
import { SIX_LAYERS, withSixLayers } from './six-layers.ts'

const MINUTES = 10
const LOOK_MS = 15_000

export async function tenMinutes(_: BenchOptions, say: (message: string) => void): Promise<Section> {
  const rows: Record<string, Cell>[] = []
  if (!haveProgram(CHROMIUM)) return sectionOf(rows, [`Not measured: there is no ${CHROMIUM}.`])
  await withSixLayers('S4-600', say, async (page) => {
    await page.getByRole('button', { name: 'Loop' }).click()
    await page.getByRole('button', { name: 'Play stack' }).click()
    const stop = page.getByRole('button', { name: 'Stop', exact: true })
    await stop.waitFor()
    const fromMs = performance.now()
    const loads = [loadavg()[0]]
    let playedS = 0
    let dropouts = 0
    while (playedS < 60 * MINUTES) {
      await page.waitForTimeout(LOOK_MS)
      if (!(await stop.isVisible())) break
      playedS = (performance.now() - fromMs) / 1000
      loads.push(loadavg()[0])
      const text = await page.locator('.transport-underruns').allTextContents()
      dropouts = Math.max(dropouts, Number(/\d+/.exec(text[0] ?? '')?.[0] ?? 0))
      if (loads.length % 4 === 0)
        say(`${Math.round(playedS)} s, ${dropouts} dropouts, load ${loads[loads.length - 1].toFixed(1)}`)
    }
    rows.push({
      layers: SIX_LAYERS,
      played: playedS,
      dropouts,
      least: Math.min(...loads),
      mean: loads.reduce((sum, load) => sum + load, 0) / loads.length,
      most: Math.max(...loads),
    })
  })
  return sectionOf(rows, [
    'Dropouts as the transport counts them: blocks of the audio thread that found too little in the ring. Aim: none.',
    'The load is that of the whole machine, on which the program, its window and Chromium run too.',
  ])
}

const sectionOf = (rows: readonly Record<string, Cell>[], notes: readonly string[]): Section => ({
  id: 'S4-600',
  title: `${MINUTES} minutes of ${SIX_LAYERS} layers, every stage on`,
  commands: {},
  notes,
  tables: [
    {
      title: 'dropouts',
      columns: [
        { key: 'layers', head: 'layers', digits: 0 },
        { key: 'played', head: 'played s', digits: 0 },
        { key: 'dropouts', head: 'dropouts', digits: 0 },
        { key: 'least', head: 'load, least', digits: 1 },
        { key: 'mean', head: 'mean', digits: 1 },
        { key: 'most', head: 'most', digits: 1 },
      ],
      rows,
    },
  ],
})

// S7: forty layers of four minutes, and sixty-four of five, in the window: frames per second while Stack is zoomed and scrolled, dropouts
// while the whole stack plays, and how long its chain and the stack take to measure. The real window in Chromium on
// the loopback host; measuring by its handlers, as the window calls them.

import { chromium, type Page } from 'playwright-core'
import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { WHOLE_CHAIN } from '../like-chain.ts'
import { steadyNoise } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { buildSessions } from '../stack-session.ts'
import { quantileOf, spreadOf } from '../statistics.ts'
import { CHROMIUM, haveProgram } from '../tools.ts'

interface Size {
  readonly id: 'S7' | 'S7-64'
  readonly layers: number
  readonly songSeconds: number
}
const FORTY: Size = { id: 'S7', layers: 40, songSeconds: 240 }
const SIXTY_FOUR: Size = { id: 'S7-64', layers: 64, songSeconds: 300 }
type Measure = (options: BenchOptions, say: (message: string) => void) => Promise<Section>

/** Forty layers of four minutes. */
export const largeStack: Measure = (options, say) => measureWindow(FORTY, options, say)
/** Sixty-four layers of five minutes. */
export const largestStack: Measure = (options, say) => measureWindow(SIXTY_FOUR, options, say)

/** Layers share takes, because a song of forty files is an hour of importing. */
const TAKES = 4
const GROUPS = ['Lead', 'Doubles', 'Ad-libs'] as const
const STEPS = 120
const HEARD_SECONDS = 20

const GESTURES = {
  'zoom in and out': 'zoom',
  'scroll through the song': 'song',
  'scroll through the layers': 'layers',
} as const
const context: CallContext = { signal: new AbortController().signal, report: () => {} }
type Gesture = (typeof GESTURES)[keyof typeof GESTURES]

async function measureWindow(
  size: Size,
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const notes = [
    `Time from one animation frame to the next over ${STEPS} steps of each gesture. Aim: 50 frames a second.`,
    `Dropouts counted by the audio thread over ${HEARD_SECONDS} s through the whole chain. Aim: none. Load from elsewhere shows in both.`,
    'The chain: every joint on one take of the session. Aim: 3 s. The stack: all layers through all chains.',
    'In sight: from a stage switched in Chain to figures of the new setting, a new one each time: of a part of the take, named as such (aim: 2 s), then of the whole.',
  ]
  if (!haveProgram(CHROMIUM)) return sectionOf(size, [], [], [], [`Not measured: there is no ${CHROMIUM}.`])
  const folder = freshFolder(size.id)
  say('placing the layers')
  await buildWindowIfNeeded(say)
  const [sessionId] = await buildSessions(`${folder}/catalogue.sqlite`, [
    {
      title: `${size.layers} layers`,
      layers: Array.from({ length: size.layers }, (_, k) => ({
        take: steadyNoise(size.songSeconds, (k % TAKES) + 1),
        group: GROUPS[k % GROUPS.length],
      })),
      stages: WHOLE_CHAIN,
      sharing: 'own',
    },
  ])
  const workplace = openWorkplace(inRoot(`${folder}/catalogue.sqlite`))
  const host = await startLoopbackHost(workplace, { port: 0, log: say })
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-gpu'] })
  try {
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
    await page.goto(host.address)
    await page.waitForURL((url) => !url.searchParams.has('token'))
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    const frames: Record<string, Cell>[] = []
    for (const rows of ['open', 'one line']) {
      if (rows === 'one line') await page.getByRole('button', { name: 'One-line rows' }).click()
      await page.locator('.layer-wave canvas').first().waitFor()
      await page.waitForTimeout(1500)
      for (const [name, gesture] of Object.entries(GESTURES)) {
        say(`${name}, rows ${rows}`)
        const times: number[] = []
        for (let round = 0; round < rounds; round++) times.push(...(await frameTimes(page, gesture)))
        frames.push({
          gesture: name,
          rows,
          seen: await layersSeen(page),
          perSecond: 1000 / (times.reduce((sum, time) => sum + time, 0) / times.length),
          p95: quantileOf(times, 0.95),
          most: quantileOf(times, 1),
        })
      }
    }
    say('playing')
    const dropouts = []
    for (const side of ['at rest', 'while zooming']) {
      await page.keyboard.press('Home')
      await page.getByRole('button', { name: 'Play', exact: true }).click()
      await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
      const end = Date.now() + HEARD_SECONDS * 1000
      while (Date.now() < end) {
        if (side === 'at rest') await page.waitForTimeout(500)
        else await frameTimes(page, 'zoom')
      }
      const words = await page.locator('.transport-underruns').allTextContents()
      dropouts.push({ window: side, count: Number(/\d+/.exec(words.join(''))?.[0] ?? 0) })
      await page.getByRole('button', { name: 'Stop', exact: true }).click()
    }
    const inSight = await chainInSight(page, rounds, say)
    await browser.close()
    return sectionOf(
      size,
      frames,
      dropouts,
      [...inSight, ...(await measuringTimes(workplace, sessionId, rounds, say))],
      notes,
    )
  } finally {
    await browser.close()
    await host.close()
    await workplace.close()
  }
}

/** Milliseconds between animation frames while a gesture runs, one step for each frame. */
const frameTimes = (page: Page, gesture: Gesture): Promise<number[]> =>
  page.evaluate(
    async ([kind, steps]) => {
      const sheet = document.querySelector<HTMLElement>('.sheet')!
      const nextFrame = (): Promise<number> => new Promise((resolve) => requestAnimationFrame(resolve))
      const times: number[] = []
      let before = await nextFrame()
      for (let step = 0; step < steps; step++) {
        const isBack = step >= steps / 2
        if (kind === 'zoom') {
          const options = { ctrlKey: true, deltaY: isBack ? 20 : -20, bubbles: true, cancelable: true }
          sheet.dispatchEvent(new WheelEvent('wheel', options))
        } else if (kind === 'song') sheet.scrollLeft += isBack ? -40 : 40
        else sheet.scrollTop += isBack ? -30 : 30
        const now = await nextFrame()
        times.push(now - before)
        before = now
      }
      return times
    },
    [gesture, STEPS] as const,
  )

/** Rows that are wholly in sight, at the top of the sheet. */
const layersSeen = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const { bottom } = document.querySelector('.sheet')!.getBoundingClientRect()
    document.querySelector('.sheet')!.scrollTop = 0
    return [...document.querySelectorAll('.layer-row')].filter(
      (row) => row.getBoundingClientRect().bottom <= bottom + 1,
    ).length
  })

/** While nothing plays any more. The first round starts the threads and is not counted. */
async function measuringTimes(
  workplace: Workplace,
  sessionId: number,
  rounds: number,
  say: (message: string) => void,
): Promise<Record<string, Cell>[]> {
  const handlers = createHandlers(workplace)
  const { takes } = await handlers.openSession({ id: sessionId }, context)
  while (workplace.playback.isInUse()) await new Promise((resolve) => setTimeout(resolve, 100))
  const acts = {
    'the chain on one take': (round: number) =>
      // Each on another take, so that nothing is kept from the round before.
      handlers.measureChain({ takeId: takes[round % TAKES].id, stages: [...WHOLE_CHAIN] }, context),
    'the stack': () => handlers.measureStack({ sessionId }, context),
  }
  const rows: Record<string, Cell>[] = []
  for (const [what, act] of Object.entries(acts)) {
    say(`measuring ${what}`)
    const seconds: number[] = []
    for (let round = 0; round <= Math.min(rounds, TAKES); round++) {
      const start = performance.now()
      await act(round)
      if (round > 0) seconds.push((performance.now() - start) / 1000)
    }
    const { median, least, most } = spreadOf(seconds)
    rows.push({ what, median, least, most })
  }
  return rows
}

/** Seconds from a stage switched off or on in Chain to figures of the new setting. The first is not counted. */
async function chainInSight(
  page: Page,
  rounds: number,
  say: (message: string) => void,
): Promise<Record<string, Cell>[]> {
  say('changing the chain in sight')
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  const isMeasuring = page.locator('.measuring', { hasText: 'measuring' })
  await page.locator('.stage-switch-track').first().waitFor()
  await isMeasuring.waitFor({ state: 'detached', timeout: 120_000 })
  const part: number[] = []
  const whole: number[] = []
  // Each switch is of another stage, so that no settings come back that were measured before.
  const stages = await page.locator('.stage-switch-track').count()
  for (let round = 0; round <= Math.min(rounds, stages - 1); round++) {
    const start = performance.now()
    const secondsSince = (): number => (performance.now() - start) / 1000
    await page.locator('.stage-switch-track').nth(round).click()
    await isMeasuring.waitFor({ timeout: 10_000 })
    await page.locator('.measuring', { hasText: 'only; measuring' }).waitFor({ timeout: 120_000 })
    if (round > 0) part.push(secondsSince())
    await isMeasuring.waitFor({ state: 'detached', timeout: 120_000 })
    if (round > 0) whole.push(secondsSince())
  }
  return [
    ['the chain in sight after a change, of a part', part] as const,
    ['the chain in sight after a change, of the whole take', whole] as const,
  ].map(([what, seconds]) => {
    const { median, least, most } = spreadOf(seconds)
    return { what, median, least, most }
  })
}

const sectionOf = (
  size: Size,
  frames: readonly Record<string, Cell>[],
  dropouts: readonly Record<string, Cell>[],
  measured: readonly Record<string, Cell>[],
  notes: readonly string[],
): Section => ({
  id: size.id,
  title: `${size.layers} layers of ${size.songSeconds / 60} minutes in the window`,
  commands: {},
  notes,
  tables: [
    {
      title: 'frames',
      columns: [
        { key: 'gesture', head: 'gesture' },
        { key: 'rows', head: 'rows' },
        { key: 'seen', head: 'layers seen', digits: 0 },
        { key: 'perSecond', head: 'frames/s', digits: 0 },
        { key: 'p95', head: '95 % ms', digits: 0 },
        { key: 'most', head: 'most ms', digits: 0 },
      ],
      rows: frames,
    },
    {
      title: 'dropouts',
      columns: [
        { key: 'window', head: 'window' },
        { key: 'count', head: 'dropouts', digits: 0 },
      ],
      rows: dropouts,
    },
    {
      title: 'seconds until the figures are there',
      columns: [
        { key: 'what', head: 'measured' },
        { key: 'median', head: 'median s', digits: 2 },
        { key: 'least', head: 'least', digits: 2 },
        { key: 'most', head: 'most', digits: 2 },
      ],
      rows: measured,
    },
  ],
})

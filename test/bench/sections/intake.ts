// S8: takes in Intake: how soon an imported take is shown after its own import, and how quick a session of five
// hundred takes is. The real window in Chromium on the loopback host.

import { chromium, type Page } from 'playwright-core'
import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { sha256Of } from '../../db/entries.ts'
import { RATE_HZ, speechTake } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { quantileOf } from '../statistics.ts'
import { CHROMIUM, haveProgram } from '../tools.ts'

const FILES = 40
const FILE_SECONDS = 5
const TAKES = 500
const STEPS = 30

const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function intake({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  if (!haveProgram(CHROMIUM)) return sectionOf([], [], [`Not measured: there is no ${CHROMIUM}.`])
  const folder = freshFolder('S8')
  say('the takes, once')
  const files = Array.from({ length: FILES }, (_, k) => inRoot(speechTake(FILE_SECONDS, k)))
  await buildWindowIfNeeded(say)
  const workplace = openWorkplace(inRoot(`${folder}/catalogue.sqlite`))
  const host = await startLoopbackHost(workplace, { port: 0, log: () => {} })
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-gpu'] })
  try {
    const session = await newSession(workplace)
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
    await page.goto(host.address)
    await page.waitForURL((url) => !url.searchParams.has('token'))
    say(`importing ${FILES} files`)
    const imported = await importTimes(page, workplace, session.id, files)
    say(`a session of ${TAKES} takes`)
    addTakes(workplace, session.id, TAKES - FILES)
    return sectionOf(imported, await intakeTimes(page, rounds), [
      `Real speech. Aim: the first take is shown within 1000 ms of the end of its own import, while ${FILES - 1} others go on.`,
      `Aim for ${TAKES} takes: 50 frames a second, and an act shown within 100 ms. Load from elsewhere shows in all.`,
    ])
  } finally {
    await browser.close()
    await host.close()
    await workplace.close()
  }
}

async function newSession(workplace: Workplace) {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  return acts.createSession(
    {
      artistId: artist.id,
      songTitle: 'Invented Song',
      date: '2026-10-01',
      sampleRateHz: RATE_HZ,
      tempoBpm: 90,
      beatsPerBar: 4,
      notes: '',
      panLaw: 'minus-3-db',
      startOfDayS: 3600,
      chainSharing: 'own',
    },
    context,
  )
}

/** Milliseconds from the end of an import, as the catalogue has it, to the frame that shows it. */
async function importTimes(
  page: Page,
  workplace: Workplace,
  sessionId: number,
  files: readonly string[],
): Promise<Record<string, Cell>[]> {
  await page.getByText('No takes yet').waitFor()
  const shown = page.evaluate(async (all) => {
    const nextFrame = (): Promise<number> => new Promise((resolve) => requestAnimationFrame(resolve))
    // The number of rows, of which only those in sight are drawn, without the heading.
    const rows = (): number =>
      Number(document.querySelector('.take-table')?.getAttribute('aria-rowcount') ?? 1) - 1
    const times: number[] = []
    while (times.length < all) {
      await nextFrame()
      const now = performance.timeOrigin + performance.now()
      while (times.length < rows()) times.push(now)
    }
    return times
  }, files.length)
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Import takes' }).click()
  const began = Date.now()
  await (await chooser).setFiles([...files])
  const times = await shown
  const ended = workplace.catalogue.takes
    .listOfSession(sessionId)
    .map(({ importedAt }) => Date.parse(importedAt))
  const delays = times.map((time, k) => time - ended[k])
  return [
    { what: 'the first take, after its own import', ms: delays[0] },
    { what: 'any take, after its own import, 95 %', ms: quantileOf(delays, 0.95) },
    { what: 'the first take, after the files were chosen', ms: times[0] - began },
    { what: 'the last take, after the files were chosen', ms: times[times.length - 1] - began },
  ]
}

/** Copies of the first take under other hashes, without files. */
function addTakes({ catalogue, now, emit }: Workplace, sessionId: number, count: number): void {
  const { id, copies: _, ...fields } = catalogue.takes.get(catalogue.takes.listOfSession(sessionId)[0].id)
  catalogue.transaction(() => {
    for (let n = 0; n < count; n++) {
      const take = catalogue.takes.insert({
        ...fields,
        name: `take ${n} of ${id}`,
        sha256: sha256Of(`${n}`),
        path: `/takes/${n}.wav`,
        importedAt: now(),
      })
      catalogue.takes.linkToSession(sessionId, take.id)
    }
  })
  emit('catalogueChanged', { subjects: ['takes'] })
}

async function intakeTimes(page: Page, rounds: number): Promise<Record<string, Cell>[]> {
  await page.waitForFunction(
    (rows) => document.querySelector('.take-table')?.getAttribute('aria-rowcount') === `${rows}`,
    TAKES + 1,
  )
  const times = new Map<string, number[]>()
  const note = (what: string, all: readonly number[]): void =>
    void times.set(what, [...(times.get(what) ?? []), ...all])
  const filter = page.getByRole('searchbox', { name: /^Filter/ })
  for (let round = 0; round < rounds; round++) {
    await page.getByRole('button', { name: 'Ledger', exact: true }).click()
    await page.getByRole('button', { name: 'Intake', exact: true }).waitFor()
    note('open Intake', [await untilFrames(page, 'place')])
    note('select the next take', await stepTimes(page, 'next'))
    note('scroll, per frame', await stepTimes(page, 'scroll'))
    note('sort by loudness', [await untilFrames(page, 'sort')])
    note('filter by a word', [await filterTime(page)])
    await filter.clear()
  }
  return [...times].map(([act, all]) => ({
    act,
    median: quantileOf(all, 0.5),
    p95: quantileOf(all, 0.95),
    most: quantileOf(all, 1),
  }))
}

/** From a click to the second frame after it, in which its rows are drawn. */
const untilFrames = (page: Page, act: 'place' | 'sort'): Promise<number> =>
  page.evaluate(async (kind) => {
    const nextFrame = (): Promise<number> => new Promise((resolve) => requestAnimationFrame(resolve))
    const button =
      kind === 'place'
        ? [...document.querySelectorAll('button')].find(({ textContent }) => textContent === 'Intake')
        : document.querySelector<HTMLElement>('.column-loudness')
    const began = performance.now()
    button!.click()
    do await nextFrame()
    while (document.querySelector('.take-body [role="row"]') === null)
    await nextFrame()
    return performance.now() - began
  }, act)

/** From a typed word to the frame that shows fewer rows. */
async function filterTime(page: Page): Promise<number> {
  await page.getByRole('searchbox', { name: /^Filter/ }).focus()
  // Installed before the key is pressed, because a busy page may take the key first.
  const shown = await page.evaluateHandle(() => {
    const rows = (): string | null | undefined =>
      document.querySelector('.take-table')?.getAttribute('aria-rowcount')
    const before = rows()
    const { promise, resolve } = Promise.withResolvers<number>()
    const onKey = (): void => {
      const began = performance.now()
      const look = (): void => {
        if (rows() === before) requestAnimationFrame(look)
        else resolve(performance.now() - began)
      }
      look()
    }
    document.addEventListener('keydown', onKey, { once: true, capture: true })
    return { promise }
  })
  await page.keyboard.press('7')
  return shown.evaluate(({ promise }) => promise)
}

/** Milliseconds between animation frames while a gesture runs, one step for each frame. */
const stepTimes = (page: Page, gesture: 'scroll' | 'next'): Promise<number[]> =>
  page.evaluate(
    async ([kind, steps]) => {
      const nextFrame = (): Promise<number> => new Promise((resolve) => requestAnimationFrame(resolve))
      const scroller = document.querySelector<HTMLElement>('.take-scroll')!
      const times: number[] = []
      document.querySelector<HTMLElement>('.take-body [role="row"]')!.focus()
      let before = await nextFrame()
      for (let step = 0; step < steps; step++) {
        if (kind === 'scroll') scroller.scrollTop += step >= steps / 2 ? -90 : 90
        else {
          const key = { key: 'ArrowDown', bubbles: true, cancelable: true }
          document.activeElement?.dispatchEvent(new KeyboardEvent('keydown', key))
        }
        const now = await nextFrame()
        times.push(now - before)
        before = now
      }
      return times
    },
    [gesture, STEPS] as const,
  )

const sectionOf = (
  imported: readonly Record<string, Cell>[],
  acts: readonly Record<string, Cell>[],
  notes: readonly string[],
): Section => ({
  id: 'S8',
  title: `${FILES} files of ${FILE_SECONDS} s imported, and ${TAKES} takes in Intake`,
  commands: {},
  notes,
  tables: [
    {
      title: 'import: until a take is shown',
      columns: [
        { key: 'what', head: 'what' },
        { key: 'ms', head: 'ms', digits: 0 },
      ],
      rows: imported,
    },
    {
      title: `${TAKES} takes, ms`,
      columns: [
        { key: 'act', head: 'act' },
        { key: 'median', head: 'median', digits: 0 },
        { key: 'p95', head: '95 %', digits: 0 },
        { key: 'most', head: 'most', digits: 0 },
      ],
      rows: acts,
    },
  ],
})

// S6: lists and searches of a catalogue of 100,000 takes, and how soon the window can be used on it.

import { copyFileSync } from 'node:fs'
import { chromium } from 'playwright-core'
import type { CallContext } from '../../../app/contract/wire/commands.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { ARTISTS, manyTakes, TAKES } from '../many-takes.ts'
import type { BenchOptions } from '../options.ts'
import { freshFolder, inRoot } from '../places.ts'
import type { Cell, Section } from '../report.ts'
import { factsOfSpeech } from '../speech-facts.ts'
import { quantileOf, spreadOf } from '../statistics.ts'
import { CHROMIUM, haveProgram } from '../tools.ts'

const CALLS_PER_ROUND = 10
const context: CallContext = { signal: new AbortController().signal, report: () => {} }

export async function largeCatalogue(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const folder = freshFolder('S6')
  say('the catalogue, once')
  const material = manyTakes(await factsOfSpeech(folder))
  // A copy, since the window writes to what it opens.
  copyFileSync(inRoot(material), inRoot(`${folder}/catalogue.sqlite`))
  const workplace = openWorkplace(inRoot(`${folder}/catalogue.sqlite`))
  try {
    const lists: Record<string, Cell>[] = []
    for (const [name, ask] of Object.entries(questions(workplace))) {
      lists.push({ list: name, ...(await timesOf(ask, rounds * CALLS_PER_ROUND)) })
    }
    const windows = haveProgram(CHROMIUM) ? await windowTimes(workplace, rounds, say) : []
    return {
      id: 'S6',
      title: `a catalogue of ${TAKES} takes by ${ARTISTS} artists`,
      commands: {},
      notes: [
        'Aim: any list or search within 20 ms; the window usable within 1.5 s. Every take carries the facts of a',
        'checked take of a minute of speech. Answers are put into JSON, as hosts send them.',
        ...(windows.length === 0 ? [`The window was not measured: there is no ${CHROMIUM}.`] : []),
      ],
      tables: [
        {
          title: 'lists and searches, ms',
          columns: [
            { key: 'list', head: 'asked for' },
            { key: 'lines', head: 'lines', digits: 0 },
            { key: 'median', head: 'median', digits: 1 },
            { key: 'p95', head: '95 %', digits: 1 },
            { key: 'most', head: 'most', digits: 1 },
          ],
          rows: lists,
        },
        {
          title: 'window, ms',
          columns: [
            { key: 'what', head: 'until' },
            { key: 'median', head: 'median', digits: 0 },
            { key: 'most', head: 'most', digits: 0 },
          ],
          rows: windows,
        },
      ],
    }
  } finally {
    await workplace.close()
  }
}

function questions(workplace: Workplace): Record<string, () => Promise<unknown>> {
  const acts = createHandlers(workplace)
  const find = (search: string, artistId?: number) => () =>
    acts.findTakes(
      { search, limit: 100, offset: 0, ...(artistId === undefined ? {} : { artistId }) },
      context,
    )
  const artistId = ARTISTS / 2
  return {
    artists: () => acts.listArtists({}, context),
    voices: () => acts.listVoices({}, context),
    mics: () => acts.listMics({}, context),
    'songs of an artist': () => acts.listSongs({ artistId }, context),
    sessions: () => acts.listSessions({}, context),
    'one session with its takes': () => acts.openSession({ id: 1000 }, context),
    chains: () => acts.listChains({}, context),
    'versions of a chain': () => acts.listChainVersions({ chainId: 9 }, context),
    'ledger, 200 lines': () => acts.listLedger({ limit: 200 }, context),
    'ledger of an artist, 200 lines': () => acts.listLedger({ artistId, limit: 200 }, context),
    bounces: () => acts.listBounces({}, context),
    'newest takes': find(''),
    'takes of an artist': find('', artistId),
    'takes, "hook"': find('hook'),
    'takes, "maren hook 3"': find('maren hook 3'),
    'takes, "a"': find('a'),
    'takes, no such word': find('zzz'),
    'takes of an artist, "hook"': find('hook', artistId),
  }
}

async function timesOf(ask: () => Promise<unknown>, calls: number): Promise<Record<string, Cell>> {
  const times: number[] = []
  let lines = 0
  for (let call = 0; call < calls; call++) {
    const began = performance.now()
    const answer = await ask()
    JSON.stringify(answer)
    times.push(performance.now() - began)
    lines = Array.isArray(answer) ? answer.length : 1
  }
  return { lines, median: quantileOf(times, 0.5), p95: quantileOf(times, 0.95), most: quantileOf(times, 1) }
}

async function windowTimes(
  workplace: Workplace,
  rounds: number,
  say: (message: string) => void,
): Promise<Record<string, Cell>[]> {
  await buildWindowIfNeeded(say)
  const host = await startLoopbackHost(workplace, { port: 0, log: () => {} })
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-gpu'] })
  const times = new Map<string, number[]>()
  try {
    // The address lets one browser in, once; each round's goes on from there with its session.
    const first = await browser.newContext()
    await (await first.newPage()).goto(host.address)
    const storageState = await first.storageState()
    await first.close()
    for (let round = 0; round <= rounds; round++) {
      say(`window, round ${round} of ${rounds}`)
      const page = await (await browser.newContext({ storageState })).newPage()
      const note = (what: string, began: number): void => {
        // The first round warms the host and the browser and is not counted.
        if (round > 0) times.set(what, [...(times.get(what) ?? []), performance.now() - began])
      }
      const began = performance.now()
      await page.goto(`${new URL(host.address).origin}/`)
      await page.getByRole('button', { name: 'Stack', exact: true }).waitFor()
      note('the places can be pressed', began)
      await page.getByRole('row', { name: /verse/ }).first().waitFor()
      note('the takes of the session are there', began)
      const opened = performance.now()
      await page
        .getByRole('button', { name: /Session$/ })
        .first()
        .click()
      await page.getByRole('option').first().waitFor()
      note('the list of sessions is open', opened)
      await page.keyboard.press('Escape')
      await page.getByRole('button', { name: 'Earlier takes' }).click()
      await page.getByRole('searchbox').waitFor()
      await page.getByRole('button', { name: /Artist$/ }).click()
      // Of so many artists only those near the chosen one are drawn.
      await page.keyboard.type('all artists')
      await page.getByRole('option', { name: 'All artists' }).click()
      const typed = performance.now()
      await page.getByRole('searchbox').fill('hook 17-34')
      await page
        .getByRole('row', { name: /hook 17-34/ })
        .first()
        .waitFor()
      note('what was typed is found', typed)
      await page.context().close()
    }
  } finally {
    await browser.close()
    await host.close()
  }
  return [...times].map(([what, all]) => ({ what, ...spreadOf(all) }))
}

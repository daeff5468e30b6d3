// S4: from a knob that is moved to the change at the audio thread, while six layers play
// through every stage: the real window in Chromium on the loopback host.

import type { Page } from 'playwright-core'
import type { CapturedSpan } from '../../../renderer/playback/capture.ts'
import { RATE_HZ } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import type { Cell, Section } from '../report.ts'
import { quantileOf } from '../statistics.ts'
import { CHROMIUM, haveProgram } from '../tools.ts'
import { SIX_LAYERS, withSixLayers } from './six-layers.ts'

declare global {
  interface Window {
    /** The recording that is under way, and where in the stream each value was entered. */
    knobSpan: Promise<CapturedSpan>
    knobMoves: number[]
  }
}

const MOVES_PER_ROUND = 10
const PAUSE_MS = 700
/** Powers are read in spans of this. */
const SPAN_FRAMES = 96

/** Knobs from the start of the chain, where every layer is rendered anew, to its end. */
const KNOBS = [
  { stage: 'Trim', knob: 'Gain', values: ['-12', '0'] },
  { stage: 'Opto', knob: 'Make-up', values: ['0', '12'] },
] as const

export async function knob({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  const notes = [
    'From the key that enters the value to the first changed frame that the audio thread reads; what the system',
    "and the converter add comes on top. Aim: 95 % within 100 ms. The program's window, host and Chromium share",
    'the machine, and load from elsewhere shows.',
  ]
  const rows: Record<string, Cell>[] = []
  if (!haveProgram(CHROMIUM)) return sectionOf(rows, [`Not measured: there is no ${CHROMIUM}.`])
  await withSixLayers('S4', say, async (page) => {
    await page.getByRole('button', { name: 'Open in Chain: Lead' }).click()
    for (const { stage, knob, values } of KNOBS) {
      say(`${stage}: ${knob}`)
      const delaysMs: number[] = []
      for (let round = 0; round < rounds; round++) {
        delaysMs.push(...(await moveKnob(page, stage, knob, values)))
      }
      rows.push({
        knob: `${knob} of ${stage}`,
        moves: delaysMs.length,
        seen: delaysMs.filter(Number.isFinite).length,
        median: quantileOf(delaysMs, 0.5),
        p95: quantileOf(delaysMs, 0.95),
        most: quantileOf(delaysMs, 1),
      })
    }
  })
  return sectionOf(rows, notes)
}

/** Plays the stack from its start and enters values in turn; the delay of each, Infinity where nothing changed. */
async function moveKnob(
  page: Page,
  stage: string,
  knob: string,
  values: readonly [string, string],
): Promise<number[]> {
  await page.getByRole('button', { name: new RegExp(`^${stage}.*, stage`) }).click()
  // To the start of the song.
  await page.keyboard.press('Home')
  const field = page
    .getByRole('textbox', { name: knob, exact: true })
    .or(page.getByRole('spinbutton', { name: knob, exact: true }))
  await field.first().fill(values[1])
  await field.first().press('Enter')
  await page.getByRole('button', { name: 'Play', exact: true }).click()
  await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
  await page.waitForTimeout(1500)
  const seconds = ((MOVES_PER_ROUND + 1) * (PAUSE_MS + 100)) / 1000 + 1
  await page.evaluate((frames) => {
    const capture = window.takeloftCapture!
    window.knobMoves = []
    window.knobSpan = capture.record(frames)
    // Before the field hears it.
    const note = ({ key }: KeyboardEvent): void => {
      if (key === 'Enter') window.knobMoves.push(capture.position())
    }
    window.addEventListener('keydown', note, { capture: true })
    void window.knobSpan.then(() => window.removeEventListener('keydown', note, { capture: true }))
  }, seconds * RATE_HZ)
  for (let move = 0; move < MOVES_PER_ROUND; move++) {
    await page.waitForTimeout(PAUSE_MS)
    await field.first().fill(values[move % 2])
    await field.first().press('Enter')
  }
  const { powers, moves } = await page.evaluate(async (spanFrames) => {
    const { read, fromPosition } = await window.knobSpan
    const levels: number[] = []
    for (let at = 0; at + spanFrames <= read[2].length; at += spanFrames) {
      let power = 0
      for (let n = at; n < at + spanFrames; n++) power += read[2][n] ** 2 + read[3][n] ** 2
      levels.push(power)
    }
    return { powers: levels, moves: window.knobMoves.map((position) => (position - fromPosition) | 0) }
  }, SPAN_FRAMES)
  await page.getByRole('button', { name: 'Stop', exact: true }).click()
  return moves.map((frame) => delayMs(powers, frame / SPAN_FRAMES))
}

/** To the first 2 ms that lie beyond half of what the level comes to half a second later. */
function delayMs(powers: readonly number[], moved: number): number {
  const perSecond = RATE_HZ / SPAN_FRAMES
  const meanDb = (from: number, to: number): number => {
    const part = powers.slice(Math.floor(from), Math.floor(to))
    return 10 * Math.log10(part.reduce((sum, power) => sum + power, 0) / part.length)
  }
  const before = meanDb(moved - 0.1 * perSecond, moved)
  const after = meanDb(moved + 0.4 * perSecond, moved + 0.5 * perSecond)
  if (Math.abs(after - before) < 2) return Number.POSITIVE_INFINITY
  for (let span = Math.floor(moved); span < moved + 0.5 * perSecond; span++) {
    const now = meanDb(span, span + 4)
    if ((now - before) / (after - before) > 0.5) return (1000 * (span - moved)) / perSecond
  }
  return Number.POSITIVE_INFINITY
}

const sectionOf = (rows: readonly Record<string, Cell>[], notes: readonly string[]): Section => ({
  id: 'S4',
  title: `a knob moved to the change heard, ${SIX_LAYERS} layers playing, every stage on`,
  commands: {},
  notes,
  tables: [
    {
      title: 'delay in ms',
      columns: [
        { key: 'knob', head: 'knob' },
        { key: 'moves', head: 'moves', digits: 0 },
        { key: 'seen', head: 'seen', digits: 0 },
        { key: 'median', head: 'median', digits: 0 },
        { key: 'p95', head: '95 %', digits: 0 },
        { key: 'most', head: 'most', digits: 0 },
      ],
      rows,
    },
  ],
})

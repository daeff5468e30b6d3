// Voice analysis in the real window: findings, portrait, starting settings that are auditioned and
// applied to the chain, soundcheck, and keyboard focus.

import { statSync } from 'node:fs'
import { join } from 'node:path'
import type { Locator, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { hashFile } from '../../app/audio/sha256.ts'
import { type ChainStage, defaultStages } from '../../app/contract/chain-document.ts'
import type { VoiceAnalysed } from '../../app/contract/voice-analysis.ts'
import { RAP_BARITONE } from '../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../app/dsp/voice/songs/seven-stairs.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { formatDuration, formatFrequency, formatLevel } from '../../app/words/format.ts'
import { evidenceSentence } from '../../app/words/proposals.ts'
import { settingLines } from '../../renderer/formats/voice/voice-words.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { addWhiteNoise } from '../signals/checking.ts'
import { throughBand, VOICE_RATE_HZ, voiceTake } from '../signals/voice-takes.ts'
import { CHROMIUM, type OpenWindow, openWindow, reloadWindow } from './open-window.ts'

/** During the voice, away from its edges, and far enough apart to click on each mark. */
const CLICKS_S = [5.02, 11.03]
const HUM_HZ = 50
/** Lead-in of the window before a place. */
const LEAD_IN_S = 0.4
/** Half of the pause at the start of the take, which has only hum and noise. */
const PAUSE_FRAMES = VOICE_RATE_HZ / 2

const verse = (seed: number) => voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, seed)

/** A verse with noise, hum, two clicks, and 6 dB less below 250 Hz, as from a greater distance. */
function faultyVerse() {
  const { samples, truth } = verse(40)
  const take = throughBand(samples, 'low-shelf', 250, -6, 0.7)
  addWhiteNoise(take, -56, 5)
  for (const [k, levelDbfs] of [-52, -66, -58, -70, -63].entries()) {
    const peak = Math.SQRT2 * 10 ** (levelDbfs / 20)
    for (let n = 0; n < take.length; n++)
      take[n] += peak * Math.sin((2 * Math.PI * (k + 1) * HUM_HZ * n) / VOICE_RATE_HZ)
  }
  for (const atS of CLICKS_S) take[Math.round(atS * VOICE_RATE_HZ)] += 0.5
  return { take, truth }
}
const FAULTY = faultyVerse()

/** An artist with two voices. The history is an earlier session with two takes of the first voice and one of the second. */
async function furnish({ workplace, folder }: OpenWindow, hasHistory: boolean) {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voices = []
  for (const name of ['Rap', 'Whisper']) {
    voices.push(await acts.createVoice({ artistId: artist.id, name, note: '' }, context))
  }
  const sessionOf = (songTitle: string, date: string) =>
    acts.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle, date, sampleRateHz: VOICE_RATE_HZ },
      context,
    )
  const takeIn = async (sessionId: number, name: string, samples: Float64Array, voiceId: number) => {
    const path = writeTake(join(folder, `${name}.wav`), [samples])
    const files = [{ path }]
    const { takes } = await acts.importTakes(
      { sessionId, files, voiceId, micId: null, curveId: null },
      context,
    )
    return takes[0]
  }
  const [rap, whisper] = voices
  const before = await sessionOf('Earlier Song', '2026-10-01')
  if (hasHistory) {
    await takeIn(before.id, 'first', verse(20).samples, rap.id)
    await takeIn(before.id, 'second', verse(21).samples, rap.id)
    await takeIn(before.id, 'other', verse(22).samples, whisper.id)
  }
  const today = await sessionOf('Song of Today', '2026-11-25')
  const faulty = await takeIn(today.id, 'faulty', FAULTY.take, rap.id)
  await takeIn(today.id, 'short', FAULTY.take.slice(0, 3 * VOICE_RATE_HZ), rap.id)
  return { acts, today, faulty, whisper, truth: FAULTY.truth }
}

async function openVoices(query: '' | 'capture', { hasHistory }: { readonly hasHistory: boolean }) {
  const window_ = await openWindow(query)
  const furnished = await furnish(window_, hasHistory)
  await reloadWindow(window_.page)
  await window_.page.getByRole('button', { name: /Session$/ }).click()
  await window_.page.getByRole('option', { name: /Song of Today/ }).click()
  await goTo(window_.page, 'Intake')
  await window_.page.getByRole('row', { name: /faulty/ }).click()
  return { ...window_, ...furnished }
}

const goTo = (page: Page, place: string): Promise<void> =>
  page.getByRole('button', { name: place, exact: true }).click()

/** Text with plain spaces and hyphens in place of typographic ones. */
const asTyped = (words: string): string => words.replaceAll(/\s+/g, ' ').replaceAll('−', '-')
const textOf = async (place: Locator): Promise<string> => asTyped((await place.textContent()) ?? '')

const focused = (page: Page): Promise<string> =>
  page.evaluate(() => {
    const { activeElement: one } = document
    return (one?.ariaLabel ?? one?.textContent ?? '').trim()
  })

const positionOf = (page: Page): Locator => page.getByRole('slider', { name: 'Position', exact: true })

/** Waits until playback is moving. */
async function sounding(page: Page): Promise<void> {
  const at = () => positionOf(page).getAttribute('aria-valuetext')
  const first = await at()
  await expect.poll(at).not.toBe(first)
}

const stop = async (page: Page): Promise<void> => {
  await page.getByRole('button', { name: 'Stop', exact: true }).click()
  await page.getByRole('button', { name: 'Play', exact: true }).waitFor()
}

/** Records what the worklet reads during `act`: start frame and channels. */
async function hearing(page: Page, frames: number, act: () => Promise<void>) {
  await page.evaluate((count) => {
    window.pending = window.takeloftCapture?.record(count)
  }, frames)
  await act()
  return page.evaluate(async () => {
    const span = await window.pending
    if (span === undefined) throw new Error('this page captures nothing')
    return { fromFrame: span.fromFrame, read: span.read.map((channel) => [...channel]) }
  })
}

/** Power at one frequency, over whole periods. */
function powerAt(samples: readonly number[], frequencyHz: number): number {
  let [re, im] = [0, 0]
  for (const [n, sample] of samples.entries()) {
    re += sample * Math.cos((2 * Math.PI * frequencyHz * n) / VOICE_RATE_HZ)
    im += sample * Math.sin((2 * Math.PI * frequencyHz * n) / VOICE_RATE_HZ)
  }
  return re * re + im * im
}

describe.skipIf(!haveMaterial(CHROMIUM))('the voice of a take', () => {
  it('shows planted faults with value, meaning and remedy, and plays from 0.4 s before each', async () => {
    const { page, faulty, complaints, picture } = await openVoices('capture', { hasHistory: false })
    await page.getByRole('button', { name: 'Details' }).click()
    const found = page.getByRole('list', { name: 'Findings' })
    const entryOf = (name: string) =>
      found.getByRole('listitem').filter({ has: page.getByText(name, { exact: true }) })
    const wordsOf = (name: string) => textOf(entryOf(name))
    expect(await wordsOf('Clicks')).toMatch(
      /2 clicks \(threshold 1\).* under 3 ms that no voice makes.* Take those words from another take/,
    )
    expect(await wordsOf('Noise floor')).toMatch(/3\d\.\d dB under the loud voice, limit 40\.0 dB.*expander/)
    const hum = await wordsOf('Hum')
    expect(hum).toMatch(/limit -85\.0 dBFS.*hum at 50\.0\d Hz.*low-cut/)
    // The five planted harmonics sum to -50.6 dBFS.
    expect(Math.abs(Number(/-(\d+\.\d) dBFS/.exec(hum)?.[1]) - 50.6)).toBeLessThan(1)
    // Findings with places have buttons; hum has none.
    expect(await entryOf('Clicks').getByRole('button').allTextContents()).toEqual(
      CLICKS_S.map(formatDuration),
    )
    expect(await entryOf('Hum').getByRole('button').count()).toBe(0)
    await picture('voice-findings')

    // With the keyboard on the button, and with the mouse on the mark.
    await page.getByRole('button', { name: 'Play', exact: true }).waitFor()
    const word = found.getByRole('button', { name: 'Listen to clicks at 0:11.0' })
    await word.press('Enter')
    await sounding(page)
    await stop(page)
    const [first, second] = CLICKS_S.map((atS) => (atS - LEAD_IN_S) * VOICE_RATE_HZ)
    const byWord = await hearing(page, 1024, () => word.press('Enter'))
    await stop(page)
    const wave = page.locator('.marked-wave')
    await wave.scrollIntoViewIfNeeded()
    const { width } = (await wave.boundingBox())!
    const x = (width * CLICKS_S[0] * VOICE_RATE_HZ) / faulty.frames
    const byMark = await hearing(page, 1024, () => wave.click({ position: { x, y: 20 } }))
    // The check locates clicks within 10 ms.
    expect(Math.abs(byWord.fromFrame - second)).toBeLessThan(480)
    expect(Math.abs(byMark.fromFrame - first)).toBeLessThan(480)
    await page.locator('.wave-ear').waitFor()
    expect(complaints).toEqual([])
  })

  it('shows the portrait, auditions a setting without applying it, then applies it and undoes that', async () => {
    const { page, workplace, acts, faulty, truth, complaints, picture } = await openVoices('capture', {
      hasHistory: true,
    })
    await page.getByRole('button', { name: 'Analyse voice' }).press('Enter')
    const voicePage = page.getByRole('region', { name: 'Voice of faulty' })
    const starting = page.getByRole('region', { name: 'Starting settings' })
    await starting.waitFor()
    await picture('voice-portrait')

    const { analysis, proposals } = await acts.analyseVoice({ takeId: faulty.id }, context)
    await portraitSays(page, analysis)
    // The shown pitch matches the generated one within a semitone.
    const generated = [...truth.f0.hz].filter((hz) => hz > 0).sort((a, b) => a - b)
    const shownHz = Number(/median (\d+)/.exec(await textOf(voicePage))?.[1])
    expect(Math.abs(12 * Math.log2(shownHz / generated[generated.length >> 1]))).toBeLessThan(1)
    await voicePage.getByRole('button', { name: 'Show tables' }).click()
    const sharpest = page.getByRole('button', { name: /^Listen to the sibilant at/ }).first()
    const byWord = [...analysis.sibilance.events].sort((a, b) => a.rank - b.rank)[0].startSeconds
    expect(await textOf(sharpest)).toBe(formatDuration(byWord))

    // Each proposal shows its settings and its evidence with values.
    const entries = starting.getByRole('listitem').filter({ has: page.getByRole('heading') })
    expect(await entries.count()).toBe(proposals.length)
    expect(proposals.length).toBeGreaterThan(2)
    for (const [i, { stage, evidence }] of proposals.entries()) {
      const entry = await textOf(entries.nth(i))
      const sentences = evidence.map(evidenceSentence)
      for (const line of [...settingLines(stage), ...sentences, 'confidence ']) {
        expect(entry).toContain(asTyped(line))
      }
      expect(sentences.join(' ')).toMatch(/\d/)
    }

    await hearsLowCut(page, proposals)
    await picture('voice-hearing')
    // Auditioning changes nothing: no chain, no draft, no undo step.
    expect(workplace.catalogue.chains.list()).toEqual([])
    expect(await page.getByRole('button', { name: /^Undo/ }).getAttribute('aria-label')).toBe('Undo')
    await starting.getByText('Adds a new stage to the chain.').first().waitFor()

    const put = starting.getByRole('button', { name: 'Apply to chain: Low-cut' })
    await put.click()
    await starting.getByText('Applied as suggested.').waitFor()
    await page.getByRole('button', { name: 'Undo starting settings: Low-cut' }).click()
    await starting.getByText('Applied as suggested.').waitFor({ state: 'detached' })
    expect(await put.isEnabled()).toBe(true)
    await put.click()
    await starting.getByRole('button', { name: 'Open in Chain' }).click()
    const lowCut = lowCutOf(proposals)
    await page.getByRole('button', { name: /^Low-cut.*stage 1 of 1/ }).click()
    expect(await page.getByRole('spinbutton', { name: 'Frequency' }).first().inputValue()).toBe(
      formatFrequency(lowCut.frequencyHz),
    )
    await picture('voice-in-chain')
    expect(workplace.catalogue.chains.list()).toEqual([])
    await page.keyboard.press('Control+z')
    await page.getByText('Lead has no chain yet').waitFor()
    expect(complaints).toEqual([])
  })

  it('compares the take with two earlier ones, and explains missing history, voice or material', async () => {
    const { page, workplace, acts, today, faulty, whisper, folder, complaints, picture } = await openVoices(
      '',
      {
        hasHistory: true,
      },
    )
    await page.getByRole('button', { name: 'Analyse voice' }).click()
    // The findings of the take are shown here too.
    const taken = await page.getByRole('tab', { name: /^Findings/ }).textContent()
    await page.getByRole('tab', { name: /^Findings/ }).click()
    const findings = page
      .getByRole('list', { name: 'Findings' })
      .getByRole('listitem')
      .locator('.finding-head')
    expect(taken).toBe(`Findings (${await findings.count()})`)
    await page.getByRole('tab', { name: 'Soundcheck' }).click()
    const panel = page.getByRole('tabpanel', { name: 'Soundcheck' })
    const left = panel.getByRole('list', { name: 'Outside the usual range' })
    await left.getByText(/farther from the mic/).waitFor()
    await left.getByText(/noise floor/i).waitFor()
    await panel.getByText('Compared with 2 takes from earlier sessions.').waitFor()
    await panel.getByText(/Not every take here has a mic with a curve/).waitFor()
    // The planted low shelf, in the label of the plot and in the table.
    expect(await panel.getByRole('img').first().getAttribute('aria-label')).toMatch(/outside: .*160/)
    await panel.getByRole('row', { name: /^Distance.* outside the usual range/ }).waitFor()
    await picture('voice-soundcheck')

    await acts.updateTake({ id: faulty.id, changes: { voiceId: whisper.id } }, context)
    await panel.getByText(/at least (two|2) earlier takes|needs? (two|2)/i).waitFor()
    await picture('voice-soundcheck-few')
    await acts.updateTake({ id: faulty.id, changes: { voiceId: null } }, context)
    await panel.getByText(/belongs to no voice/).waitFor()

    await page.getByRole('button', { name: 'faulty Take' }).click()
    await page.getByRole('option', { name: 'short' }).click()
    await page
      .getByRole('status')
      .getByText(/^short: The take has \d\.\d\ss of sounding voice, and at least 10\ss are needed/)
      .waitFor()
    await picture('voice-too-little')
    await page.getByRole('button', { name: 'faulty', exact: true }).click()
    await page.getByRole('region', { name: 'Starting settings' }).waitFor()

    // A take without a stored analysis is analysed first, with progress; a long one, so that it can be seen.
    const { id: _id, ...fields } = workplace.catalogue.takes.get(faulty.id)
    const { voice: _voice, ...facts } = fields.facts
    const long = new Float64Array(8 * FAULTY.take.length)
    for (let at = 0; at < long.length; at += FAULTY.take.length) long.set(FAULTY.take, at)
    const path = writeTake(join(folder, 'old.wav'), [long])
    const old = workplace.catalogue.takes.insert({
      ...{ ...fields, path, frames: long.length, facts },
      sha256: await hashFile(path),
      sizeBytes: statSync(path).size,
      name: 'old',
    })
    workplace.catalogue.takes.linkToSession(today.id, old.id)
    workplace.emit('catalogueChanged', { subjects: ['takes'] })
    await page.getByRole('button', { name: 'faulty Take' }).click()
    await page.getByRole('option', { name: 'old' }).click()
    await page.getByRole('progressbar', { name: 'Listening to old' }).waitFor()
    await page.getByRole('region', { name: 'Starting settings' }).waitFor()
    expect(complaints).toEqual([])
  })

  it('moves the focus in, and back to where it came from', async () => {
    const { page, acts, today, faulty, complaints, picture } = await openVoices('', { hasHistory: false })
    const goesInAndBack = async (way: string, back: string) => {
      await expect.poll(() => focused(page)).toBe(back)
      await page.getByRole('region', { name: 'Starting settings' }).waitFor()
      await page.keyboard.press('Enter')
      await expect.poll(() => focused(page)).toBe(way)
    }
    await page.getByRole('button', { name: 'Analyse voice' }).press('Enter')
    await goesInAndBack('Analyse voice', 'Back to takes')

    const [lead] = (await acts.openSession({ id: today.id }, context)).groups
    await acts.addLayer(
      {
        sessionId: today.id,
        groupId: lead.id,
        takeId: faulty.id,
        name: 'faulty',
        role: 'lead',
        offsetSamples: 0,
        gainDb: 0,
        pan: 0,
        muted: false,
      },
      context,
    )
    await goTo(page, 'Chain')
    await page.getByRole('button', { name: 'Start from this voice' }).press('Enter')
    await goesInAndBack('Start from this voice', 'Back to chain')

    const version = await acts.saveChain(
      {
        voiceId: faulty.voiceId!,
        chainId: null,
        name: 'Verse',
        stages: [defaultStages['low-cut']],
        note: '',
      },
      context,
    )
    await acts.updateGroup({ id: lead.id, changes: { chainVersionId: version.id } }, context)
    await page.getByRole('button', { name: /^Low-cut.*stage 1 of 1/ }).waitFor()
    await page.getByRole('button', { name: 'More for this chain' }).press('Enter')
    await page.getByRole('menuitem', { name: 'Start from this voice' }).press('Enter')
    await page.getByRole('region', { name: 'Starting settings' }).waitFor()
    await picture('voice-from-chain')
    await goesInAndBack('More for this chain', 'Back to chain')
    expect(complaints).toEqual([])
  })
})

async function portraitSays(
  page: Page,
  { fundamental, sibilance, resonances, voiceLevelDbfs }: VoiceAnalysed,
) {
  const panel = page.getByRole('tabpanel', { name: 'Voice' })
  const label = await panel.getByRole('img').first().getAttribute('aria-label')
  const hz = (frequencyHz: number) => formatFrequency(Math.round(frequencyHz))
  expect(label).toContain(`pitch from ${hz(fundamental.p5Hz)}`)
  expect(label).toContain(`to ${hz(fundamental.p95Hz)}`)
  expect(label?.match(/a resonance at/g) ?? []).toHaveLength(resonances.length)
  expect(await panel.locator('.portrait-water').count()).toBe(6)
  const words = await textOf(panel)
  expect(words).toContain(`${asTyped(formatLevel(voiceLevelDbfs, 'dBFS'))} RMS while voiced`)
  expect(words).toContain(`${sibilance.events.length}, peak at`)
  // /s/ of men peaks between 4 and 8.5 kHz (Jongman et al. 2000: mean over talkers 6.8 kHz).
  expect(sibilance.peakHz).toBeGreaterThan(4000)
  expect(sibilance.peakHz).toBeLessThan(8500)
}

function lowCutOf(proposals: readonly { readonly stage: ChainStage }[]) {
  const stage = proposals.map((one) => one.stage).find(({ kind }) => kind === 'low-cut')
  if (stage?.kind !== 'low-cut') throw new Error('no low-cut is proposed')
  return stage.settings
}

/** The hum in the pause drops by the attenuation of a Butterworth high-pass of that order and corner. */
async function hearsLowCut(page: Page, proposals: readonly { readonly stage: ChainStage }[]) {
  const { frequencyHz, slopeDbPerOctave } = lowCutOf(proposals)
  const hear = page.getByRole('button', { name: 'Audition Low-cut' })
  await hear.click()
  await page
    .getByRole('main')
    .getByRole('radiogroup', { name: 'Audition without or with the stages' })
    .waitFor()
  await sounding(page)
  await stop(page)
  await positionOf(page).press('Home')
  const { fromFrame, read } = await hearing(page, PAUSE_FRAMES, async () => {
    await page.getByRole('button', { name: 'Play', exact: true }).click()
  })
  expect(fromFrame).toBe(0)
  // Skips the settling of the filter, 0.2 s.
  const [without, within] = [read[0], read[2]].map((side) => side.slice(9600))
  const fallDb = 10 * Math.log10(powerAt(within, HUM_HZ) / powerAt(without, HUM_HZ))
  const order = slopeDbPerOctave / 6
  const wantedDb = -10 * Math.log10(1 + (frequencyHz / HUM_HZ) ** (2 * order))
  console.info(`low-cut heard first: ${fallDb.toFixed(2)} dB at 50 Hz, Butterworth ${wantedDb.toFixed(2)} dB`)
  expect(Math.abs(fallDb - wantedDb)).toBeLessThan(0.3)
}

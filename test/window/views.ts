// What the window shows in a session of the demo: every place and dialog, with how it is opened. To add one, add
// one line. What a line opens is closed with Escape before the next.

import type { Page } from 'playwright-core'

type Open = (page: Page) => Promise<void>

const press =
  (name: string | RegExp): Open =>
  (page) =>
    page.getByRole('button', { name }).first().click()
const goTo =
  (place: string): Open =>
  (page) =>
    page.getByRole('button', { name: place, exact: true }).click()
const tab =
  (name: string): Open =>
  (page) =>
    page.getByRole('tab', { name, exact: true }).click()
/** Presses a button that opens a menu, and chooses an act of it. */
const inMenu =
  (button: string | RegExp, act: string | RegExp): Open =>
  async (page) => {
    await page.getByRole('button', { name: button }).first().click()
    await page.getByRole('menuitem', { name: act }).click()
  }
const inList =
  (list: RegExp, option: string): Open =>
  async (page) => {
    await page.getByRole('button', { name: list }).first().click()
    await page.getByRole('option', { name: option }).click()
  }
const rows = (page: Page) => page.getByRole('grid', { name: 'Takes' }).getByRole('row')

/** A chain can be saved only when it differs from its saved version. */
const saveChanged: Open = async (page) => {
  const save = page.getByRole('button', { name: 'Save', exact: true })
  if (await save.isDisabled()) await page.locator('.stage-switch-track').first().click()
  await save.click()
}

/** The demo is checked within seconds. */
const checkStack: Open = async (page) => {
  await page.getByRole('button', { name: 'Check', exact: true }).click()
  await page.locator('.check-state', { hasText: /findings?$/ }).waitFor({ timeout: 60_000 })
}

const STAGES = ['Expander', 'Mic correction', 'Low-cut', 'Tone', 'De-ess', 'Drive', 'Opto', 'Ceiling']

export const VIEWS: readonly (readonly [name: string, open: Open])[] = [
  ['start page', press('Takeloft, start page')],
  ['Intake', goTo('Intake')],
  ['Intake with a take', (page) => rows(page).nth(1).click()],
  [
    'Intake with several takes',
    (page) =>
      rows(page)
        .nth(2)
        .click({ modifiers: ['Shift'] }),
  ],
  ['Intake with details', press('Details')],
  ['Intake sorted', (page) => page.getByRole('columnheader', { name: /^Length/ }).click()],
  ['earlier takes', press('Earlier takes')],
  ['new voice', inList(/Voice for import$/, 'New voice…')],
  ['new mic', inList(/Mic for import$/, 'New mic…')],
  ['a list', press(/Mic for import$/)],
  ['placing takes', press('Place all as guessed')],
  ['missing takes', press('Find missing takes…')],
  ['Stack', goTo('Stack')],
  ['Stack in one-line rows', press('One-line rows')],
  ['Stack in open rows', press('One-line rows')],
  [
    'Stack with chosen layers',
    async (page) => {
      await page.locator('.layer-row').first().focus()
      await page.keyboard.press('Control+a')
      await page.getByRole('region', { name: 'Chosen layers' }).waitFor()
    },
  ],
  ['comparing by ear in the stack', inMenu('More for group Lead', 'Compare versions by ear in the stack')],
  ['session settings', press(/^Session$/)],
  ['stack levels', press('Measure')],
  ['bouncing', press('Bounce')],
  ['delivering', press('Deliver')],
  ['Chain', goTo('Chain')],
  ...STAGES.map((stage) => [`Chain, ${stage}`, press(new RegExp(`^${stage}.*, stage`))] as const),
  ['Chain with its table', press('Show table')],
  ['adding a stage', press('Add stage')],
  ['saving a chain', saveChanged],
  ['comparing versions', inMenu('More for this chain', 'Compare versions')],
  ['comparing by ear', inMenu('More for this chain', 'Compare by ear')],
  ['voice', inMenu('More for this chain', /voice/i)],
  ['soundcheck', tab('Soundcheck')],
  ['findings', (page) => page.getByRole('tab', { name: /^Take check|^Findings/ }).click()],
  ['Mics', goTo('Mics')],
  ...['Correction', 'Carry', 'Trace', 'Curves'].map((view) => [`Mics, ${view}`, tab(view)] as const),
  ['editing a mic', inMenu(/^More for/, 'Edit mic')],
  ['importing a curve', press('Import curve')],
  ['Ledger', goTo('Ledger')],
  ['Ledger unfolded', press('Show or hide the lines')],
  ['Ledger, book', tab('Voice’s book')],
  ['Ledger, book with its table', press('Show table')],
  ['Ledger, find', tab('Find')],
  ['Ledger, found', (page) => page.getByRole('searchbox', { name: 'Search everything' }).fill('mic')],
  ['Ledger, events', tab('Events')],
  ['recall sheet', press('Recall sheet for this session')],
  ['new session', press('New session')],
  ['people and songs', press('People and songs')],
  ['keys', press('Keys')],
  ['theme', press(/^Theme/)],
  ['hearing caution', press(/hearing|ears/i)],
  ['sessions', press(/Session$/)],
  // Last, because a finding selects its layer, whose take has no voice.
  ['Stack once more', goTo('Stack')],
  ['stack check', checkStack],
  ['stack check with a finding', press('Next finding')],
  ['stack check as tables', press('Check as table')],
]

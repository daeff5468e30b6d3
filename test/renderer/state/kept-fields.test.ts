// What outlasts a reload: read as every version of Takeloft has written it, and dropped where
// it is no value any more.

import { afterEach, beforeEach, expect, it, vi } from 'vitest'

const kept = new Map<string, string>()

beforeEach(() => {
  vi.resetModules()
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, text: string) => void kept.set(key, text),
    removeItem: (key: string) => void kept.delete(key),
  })
  vi.stubGlobal('window', { matchMedia: () => ({ matches: false, addEventListener: () => {} }) })
  vi.stubGlobal('document', { documentElement: { dataset: {} } })
})
afterEach(() => kept.clear())

const keep = (values: Record<string, string>): void => {
  for (const [key, text] of Object.entries(values)) kept.set(key, text)
}
const selection = () => import('../../../renderer/state/selection.ts')
const theme = () => import('../../../renderer/state/theme.ts')
const singleKeys = () => import('../../../renderer/state/single-keys.ts')
const questionMark = {
  key: '?',
  ctrlKey: false,
  metaKey: false,
  altKey: false,
  shiftKey: true,
} as KeyboardEvent

it('is read as plain text', async () => {
  keep({ 'takeloft.place': 'chain', 'takeloft.session': '12', 'takeloft.theme': 'dark' })
  expect((await selection()).readSelection()).toMatchObject({ place: 'chain', sessionId: 12, takeId: null })
  ;(await theme()).applyStoredTheme()
  expect(document.documentElement.dataset.theme).toBe('dark')
  keep({ 'takeloft.singleKeys': 'off' })
  expect((await singleKeys()).windowKeyActOf(questionMark, 'everywhere')).toBeNull()
})

it('falls back to the defaults where nothing is kept, or what no version reads', async () => {
  keep({ 'takeloft.place': 'nowhere', 'takeloft.session': '{"state":1}', 'takeloft.theme': 'sepia' })
  expect((await selection()).readSelection()).toMatchObject({ place: 'intake', sessionId: null })
  ;(await theme()).applyStoredTheme()
  expect(document.documentElement.dataset.theme).toBe('light')
  expect((await singleKeys()).windowKeyActOf(questionMark, 'everywhere')).toBe('keys')
})

it('is written as it was read, and nothing beside it', async () => {
  const { goTo, selectSession, selectTake } = await selection()
  selectSession(7)
  goTo('stack')
  selectTake(3)
  ;(await theme()).setTheme('light')
  ;(await singleKeys()).setSingleKeys(false)
  expect(Object.fromEntries(kept)).toEqual({
    'takeloft.place': 'stack',
    'takeloft.session': '7',
    'takeloft.theme': 'light',
    'takeloft.singleKeys': 'off',
  })
  selectSession(null)
  expect(kept.has('takeloft.session')).toBe(false)
})

it('does without local storage', async () => {
  vi.stubGlobal('localStorage', {
    getItem: () => {
      throw new DOMException('denied', 'SecurityError')
    },
    setItem: () => {},
    removeItem: () => {},
  })
  expect((await selection()).readSelection()).toMatchObject({ place: 'intake', sessionId: null })
})

import { describe, expect, it } from 'vitest'
import {
  ariaKeysOf,
  KEY_ACT_NAMES,
  KEY_ACTS,
  KEY_GROUPS,
  type KeyGroup,
  keyActOf,
  type Stroke,
  strokesOf,
} from '../../../renderer/keys/key-table.ts'

const press = (
  key: string,
  held: Partial<Record<'ctrlKey' | 'metaKey' | 'altKey' | 'shiftKey', true>> = {},
) => ({
  key,
  ctrlKey: false,
  metaKey: false,
  altKey: false,
  shiftKey: false,
  ...held,
})

const pressOf = ({ key, command, shift, alt }: Stroke) => ({
  ...press(key),
  ctrlKey: command === true,
  shiftKey: shift === true,
  altKey: alt === true,
})

describe('the table of keys', () => {
  it('answers each of its strokes with the act it stands for, so that none is hidden by another', () => {
    for (const name of KEY_ACT_NAMES) {
      for (const stroke of strokesOf(name)) expect(keyActOf(pressOf(stroke), KEY_ACTS[name].group)).toBe(name)
    }
  })

  it('has acts for every group that the page of keys shows', () => {
    for (const group of Object.keys(KEY_GROUPS) as KeyGroup[]) {
      expect(KEY_ACT_NAMES.some((name) => KEY_ACTS[name].group === group)).toBe(true)
    }
  })

  it('tells undo from redo, and a letter from the same letter with Ctrl', () => {
    expect(keyActOf(press('z', { ctrlKey: true }), 'everywhere')).toBe('undo')
    expect(keyActOf(press('Z', { metaKey: true, shiftKey: true }), 'everywhere')).toBe('redo')
    expect(keyActOf(press('z'), 'everywhere')).toBeNull()
    expect(keyActOf(press('s'), 'chain')).toBe('compareStage')
    expect(keyActOf(press('s', { ctrlKey: true }), 'chain')).toBe('save')
    expect(keyActOf(press('d', { altKey: true }), 'everywhere')).toBeNull()
  })

  it('takes digits and signs however the keyboard types them: with Shift, or with AltGr', () => {
    expect(keyActOf(press('3', { shiftKey: true }), 'everywhere')).toBe('stack')
    expect(keyActOf(press('?', { shiftKey: true }), 'everywhere')).toBe('keys')
    const withAltGr = {
      ...press('[', { ctrlKey: true, altKey: true }),
      getModifierState: (name: string) => name === 'AltGraph',
    }
    expect(keyActOf(withAltGr, 'ruler')).toBe('loopStart')
    expect(keyActOf(press('[', { ctrlKey: true, altKey: true }), 'ruler')).toBeNull()
  })

  it('names shortcuts as WAI-ARIA 1.2 writes them: modifiers first, Space by its name', () => {
    expect(ariaKeysOf('play')).toBe('Space')
    expect(ariaKeysOf('save')).toBe('Control+S')
    expect(ariaKeysOf('redo')).toBe('Control+Shift+Z Control+Y')
  })
})

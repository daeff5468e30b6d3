// Contrast of text and controls in both themes, computed from the design tokens.
// Source: WCAG 2.2 (W3C Recommendation, 5 October 2023), definitions of 'relative luminance' and
// 'contrast ratio'; success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (what marks a control, 3:1).

import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const css = readFileSync(new URL('../../../renderer/styles/tokens.css', import.meta.url), 'utf8')

type Colour = readonly [red: number, green: number, blue: number]
type Tokens = ReadonlyMap<string, Colour>

const colourOf = (hex: string): Colour =>
  [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as never

function tokensOf(selector: string): Tokens {
  const start = css.indexOf(`${selector} {`)
  const block = css.slice(start, css.indexOf('\n}', start))
  return new Map(
    [...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, hex]) => [name, colourOf(hex)]),
  )
}

const light = tokensOf(':root')
const THEMES: readonly (readonly [string, Tokens])[] = [
  ['paper', light],
  ['ink', new Map([...light, ...tokensOf(':root[data-theme="dark"]')])],
]

function relativeLuminance(colour: Colour): number {
  const [red, green, blue] = colour.map((value) => {
    const share = value / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue
}

function contrast(a: Colour, b: Colour): number {
  const [darker, lighter] = [relativeLuminance(a), relativeLuminance(b)].sort((x, y) => x - y)
  return (lighter + 0.05) / (darker + 0.05)
}

/** color-mix(in srgb, over share%, transparent) on a background. */
const mixed = (over: Colour, ground: Colour, share: number): Colour =>
  over.map((value, i) => share * value + (1 - share) * ground[i]) as never

/** Every text colour on every background it is used on. */
const TEXT: readonly (readonly [text: string, ...grounds: string[]])[] = [
  ['ink', 'paper', 'paper-raised', 'paper-sunk', 'accent-soft', 'failure-soft', 'chosen column'],
  ['ink-soft', 'paper', 'paper-raised', 'paper-sunk', 'accent-soft', 'failure-soft', 'chosen column'],
  ['ink-faint', 'paper', 'paper-raised', 'paper-sunk', 'chosen column'],
  ['accent', 'paper', 'paper-raised', 'paper-sunk', 'accent-soft', 'failure-soft', 'chosen column'],
  ['failure', 'paper', 'paper-raised', 'paper-sunk', 'accent-soft', 'failure-soft'],
  ['on-accent', 'accent', 'hovered main button'],
]

/** Colours that show the edge, the state or the focus of a control. */
const MARKS: readonly (readonly [mark: string, ...grounds: string[]])[] = [
  ['rule-strong', 'paper', 'paper-raised'],
  ['focus', 'paper', 'paper-raised', 'paper-sunk', 'accent-soft'],
  ['accent', 'paper', 'paper-raised'],
  ['failure', 'paper', 'paper-raised'],
  // The waves and brackets of groups; a chosen row has the soft accent behind its bracket.
  ...Array.from({ length: 8 }, (_, k): [string, ...string[]] => [
    `group-${k + 1}`,
    'paper',
    'paper-sunk',
    'accent-soft',
  ]),
]

function groundOf(tokens: Tokens, name: string): Colour {
  const of = (token: string): Colour => tokens.get(token)!
  if (name === 'chosen column') return mixed(of('accent-soft'), of('paper-raised'), 0.45)
  if (name === 'hovered main button') return mixed(of('accent'), of('ink'), 0.86)
  return of(name)
}

describe.each(THEMES)('theme %s', (_name, tokens) => {
  it.each(TEXT)('text in %s reaches 4.5:1 on all its grounds (WCAG 2.2, 1.4.3)', (text, ...grounds) => {
    for (const ground of grounds) {
      const ratio = contrast(tokens.get(text)!, groundOf(tokens, ground))
      expect(ratio, `${text} on ${ground}`).toBeGreaterThanOrEqual(4.5)
    }
  })

  it.each(MARKS)('%s reaches 3:1 where it marks a control (WCAG 2.2, 1.4.11)', (mark, ...grounds) => {
    for (const ground of grounds) {
      const ratio = contrast(tokens.get(mark)!, groundOf(tokens, ground))
      expect(ratio, `${mark} on ${ground}`).toBeGreaterThanOrEqual(3)
    }
  })
})

describe('the formula', () => {
  it('gives 21:1 for black on white and 1:1 for a colour on itself (WCAG 2.2, note to contrast ratio)', () => {
    expect(contrast([0, 0, 0], [255, 255, 255])).toBeCloseTo(21, 10)
    expect(contrast([15, 97, 120], [15, 97, 120])).toBe(1)
  })

  it("gives 4.54:1 for #767676 on white, the lightest grey that W3C's techniques call sufficient (G18)", () => {
    // The figure itself is from memory of that page's worked example; two decimals of it are checked.
    expect(contrast(colourOf('#767676'), [255, 255, 255])).toBeCloseTo(4.54, 2)
  })
})

// All keys stand in the key table: nothing outside of renderer/keys compares what was pressed,
// so that the Keys dialog cannot miss a key.

import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'

const RENDERER = join(import.meta.dirname, '../../../renderer')

/** Named keys as in KeyboardEvent.key, of those the window could listen to. */
const NAMED_KEY =
  /['"`](Arrow(Left|Right|Up|Down)|Enter|Escape|Delete|Backspace|Page(Up|Down)|Home|End|Tab)['"`]/
const RAW_PRESS = /\b(event|e|press|keyEvent)\.(key|code|keyCode|which|charCode)\b/
const NAMED_PROPERTY = /\bArrow(Left|Right|Up|Down)\b/
const LISTENS = /onKey(Down|Up|Press)\b|addEventListener\(\s*'key/
const ASKS_TABLE = /\b(keyActOf|windowKeyActOf)\(/

const problemsIn = (text: string): string[] => {
  // Comments may name a key.
  const code = text.replaceAll(/\/\*[\s\S]*?\*\/|(?<=^|\s)\/\/.*$/gm, '')
  return [
    ...code
      .split('\n')
      .filter((line) => [NAMED_KEY, RAW_PRESS, NAMED_PROPERTY].some((pattern) => pattern.test(line)))
      .map((line) => line.trim()),
    ...(LISTENS.test(code) && !ASKS_TABLE.test(code) ? ['listens to keys without asking the key table'] : []),
  ]
}

it('holds outside of renderer/keys', () => {
  const files = globSync('**/*.{ts,tsx}', { cwd: RENDERER }).filter((file) => !file.startsWith('keys'))
  expect(files.length).toBeGreaterThan(100)
  const found = files.flatMap((file) =>
    problemsIn(readFileSync(join(RENDERER, file), 'utf8')).map((line) => `${file}: ${line}`),
  )
  expect(found).toEqual([])
})

it('finds each way to bypass the table', () => {
  for (const line of [
    "if (event.key === 'x') act()",
    "switch (key) { case 'Escape': }",
    'const moves = { ArrowLeft: -1 }',
    'if (event.keyCode === 13) act()',
    '<div onKeyDown={(event) => handle(event)} />',
    "window.addEventListener('keydown', handle)",
  ]) {
    expect(problemsIn(line), line).toHaveLength(1)
  }
  expect(
    problemsIn("// 'Escape' closes it\nconst act = keyActOf(event, 'text'); <b onKeyDown={act} />"),
  ).toEqual([])
})

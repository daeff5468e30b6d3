// No file of the window imports itself by way of others, be it for a type.

import { globSync, readFileSync } from 'node:fs'
import { dirname, join, posix } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, it } from 'vitest'
import { readImports } from './read-imports.ts'

const ROOT = dirname(dirname(dirname(fileURLToPath(import.meta.url))))

/** Each circle once, as the files on its way. */
function circlesOf(imports: ReadonlyMap<string, readonly string[]>): readonly string[] {
  const circles: string[] = []
  const done = new Set<string>()
  const way: string[] = []
  const visit = (file: string): void => {
    if (way.includes(file)) circles.push([...way.slice(way.indexOf(file)), file].join(' → '))
    if (way.includes(file) || done.has(file)) return
    way.push(file)
    for (const next of imports.get(file) ?? []) visit(next)
    way.pop()
    done.add(file)
  }
  for (const file of imports.keys()) visit(file)
  return circles
}

it('finds a circle of two and a longer one, and none where there is none', () => {
  const imports = new Map([
    ['a', ['b']],
    ['b', ['a', 'c']],
    ['c', ['d']],
    ['d', ['e']],
    ['e', ['c']],
    ['f', ['a', 'c']],
  ])
  expect(circlesOf(imports)).toEqual(['a → b → a', 'c → d → e → c'])
  expect(
    circlesOf(
      new Map([
        ['a', ['b', 'c']],
        ['b', ['c']],
      ]),
    ),
  ).toEqual([])
})

it('there is none in the window', () => {
  const files = globSync('renderer/**/*.{ts,tsx}', { cwd: ROOT }).map((file) => file.replaceAll('\\', '/'))
  const imports = new Map(
    files.map((file) => [
      file,
      readImports(file, readFileSync(join(ROOT, file), 'utf8')).flatMap(({ what }) =>
        what?.startsWith('.') === true ? [posix.join(posix.dirname(file), what)] : [],
      ),
    ]),
  )
  expect(files.length).toBeGreaterThan(100)
  expect(circlesOf(imports)).toEqual([])
})

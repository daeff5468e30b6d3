// Circles, large folders, unreached files and unused exports are refused, each in a made-up tree.

import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { MAX_FILES_IN_FOLDER } from './import-table.ts'
import { judgeCircles } from './judge-circles.ts'
import { judgeFolders } from './judge-folders.ts'
import { judgeUse } from './judge-use.ts'

const circlesIn = (sources: Record<string, string>): string[] =>
  judgeCircles(new Map(Object.entries(sources))).map(({ what }) => what)

describe('a circle', () => {
  it('of files is refused, over any number of them, once', () => {
    expect(
      circlesIn({
        'app/a.ts': "import { b } from './b.ts'",
        'app/b.ts': "import { c } from './deep/c.ts'",
        'app/deep/c.ts': "export { a } from '../a.ts'",
        'app/d.ts': "import './a.ts'",
      }),
    ).toEqual(['app/a.ts → app/b.ts → app/deep/c.ts → app/a.ts'])
  })

  it('of types alone is refused as well', () => {
    expect(
      circlesIn({
        'db/a.ts': "import type { B } from './b.ts'",
        'db/b.ts': "import type { A } from './a.ts'",
      }),
    ).toEqual(['db/a.ts → db/b.ts → db/a.ts'])
  })

  it('of a file with itself is refused', () => {
    expect(circlesIn({ 'app/a.ts': "import { a } from './a.ts'" })).toEqual(['app/a.ts → app/a.ts'])
  })

  it('of folders of the window is refused, even where no two files import each other', () => {
    const sources = {
      'renderer/parts/a.tsx': "import { x } from './plot/x.ts'",
      'renderer/parts/plot/x.ts': '',
      'renderer/parts/plot/y.ts': "import { b } from '../b.ts'",
      'renderer/parts/b.ts': '',
    }
    expect(circlesIn(sources)).toEqual(['renderer/parts → renderer/parts/plot → renderer/parts'])
  })

  it('is not seen in imports that go one way, of libraries, or of styles', () => {
    expect(
      circlesIn({
        'renderer/a.tsx': "import './a.css'\nimport { z } from 'zod'\nimport { b } from './b.ts'",
        'renderer/b.ts': "import url from './c.ts?worker&url'",
        'renderer/c.ts': '',
      }),
    ).toEqual([])
  })
})

describe('a large folder', () => {
  const files = (folder: string, count: number): string[] =>
    Array.from({ length: count }, (_, i) => `${folder}/file-${i}.ts`)

  it('is refused without a reason, and no folder that is just not too large', () => {
    const tree = [...files('app/a', MAX_FILES_IN_FOLDER), ...files('app/b', MAX_FILES_IN_FOLDER + 1)]
    expect(judgeFolders(tree, {}).map(({ file }) => file)).toEqual(['app/b'])
    expect(judgeFolders(tree, { 'app/b': 'a reason' })).toEqual([])
  })

  it('is refused a reason that it does not need', () => {
    expect(judgeFolders(files('app/a', 2), { 'app/a': 'a reason' })).toMatchObject([{ what: 'app/a' }])
  })
})

describe('what nothing of the program uses', () => {
  /** The refusals in a tree of these files, each as its file and what is refused there. */
  function unusedIn(files: Record<string, string>): string[] {
    const root = mkdtempSync(join(tmpdir(), 'takeloft-use-'))
    onTestFinished(() => rmSync(root, { recursive: true }))
    for (const [file, source] of Object.entries({ 'package.json': '{"type":"module"}', ...files })) {
      mkdirSync(dirname(join(root, file)), { recursive: true })
      writeFileSync(join(root, file), source)
    }
    return judgeUse(root).map(({ file, what }) => `${file}: ${what}`)
  }
  const START = 'app/hosts/start.ts'

  it('is refused as a file, also where a test imports it', () => {
    expect(
      unusedIn({
        [START]: "import { used } from '../used.ts'\nused()",
        'app/used.ts': 'export const used = () => {}',
        'app/lost.ts': 'export const lost = 1',
        'app/tested.ts': 'export const tested = 1',
        'test/tested.test.ts': "import { tested } from '../app/tested.ts'\nconsole.log(tested)",
      }),
    ).toEqual(['app/lost.ts: app/lost.ts', 'app/tested.ts: app/tested.ts'])
  })

  it('is refused as an export: of values and of types, used by tests alone or in its own file alone', () => {
    expect(
      unusedIn({
        [START]: "import { used } from '../used.ts'\nused()",
        'app/used.ts': [
          'export interface Shape { readonly size: number }',
          'export const LIMIT = 2',
          'export const forTests = 3',
          'const shape: Shape = { size: 1 }',
          'export const used = () => shape.size < LIMIT',
        ].join('\n'),
        'test/used.test.ts': "import { forTests } from '../app/used.ts'\nconsole.log(forTests)",
      }),
    ).toEqual(['app/used.ts: Shape', 'app/used.ts: LIMIT', 'app/used.ts: forTests'])
  })

  it('is measured from places that exist', () => {
    const { entry } = JSON.parse(readFileSync(new URL('knip.json', import.meta.url), 'utf8')) as {
      entry: string[]
    }
    const missing = entry.filter(
      (path) => !existsSync(new URL(`../../${path.replace(/!$/, '')}`, import.meta.url)),
    )
    expect(missing).toEqual([])
  })
})

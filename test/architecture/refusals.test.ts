// Circles, large folders, unreached files and unused exports are refused, each in a made-up tree.

import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { MAX_FILES_IN_FOLDER } from './import-table.ts'
import { judgeCircles } from './judge-circles.ts'
import { judgeFolders } from './judge-folders.ts'
import { judgeTags } from './judge-tags.ts'
import { judgeLinks, judgeStyles, judgeTargets } from './judge-targets.ts'
import { judgeUse } from './judge-use.ts'
import { judgeWriting } from './judge-writing.ts'

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

  it('of style sheets, and by the address of a thread, is refused', () => {
    expect(
      circlesIn({
        'renderer/a.css': "@import './b.css';",
        'renderer/b.css': "@import './a.css';",
        'renderer/c.ts': "new Worker(new URL('./d.ts', import.meta.url))",
        'renderer/d.ts': "import { c } from './c.ts'",
      }),
    ).toEqual([
      'renderer/a.css → renderer/b.css → renderer/a.css',
      'renderer/c.ts → renderer/d.ts → renderer/c.ts',
    ])
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

describe('a file under another name', () => {
  it.each(['./b', './b.js', './b.ts#x', './B.ts'])(
    '%s is refused, which circles and rows would miss',
    (what) => {
      const sources = new Map([
        ['app/a.ts', `import { b } from '${what}'`],
        ['app/b.ts', ''],
      ])
      expect(judgeTargets(sources, new Set(sources.keys()))).toMatchObject([{ file: 'app/a.ts', what }])
    },
  )

  it('is none where the name is whole, has a query, or is the address of what a build makes', () => {
    const sources = new Map([
      ['app/a.ts', "import './b.ts?worker'\nimport './c.css'\nnew URL('../out/d.cjs', import.meta.url)"],
      ['app/b.ts', ''],
    ])
    expect(judgeTargets(sources, new Set([...sources.keys(), 'app/c.css']))).toEqual([])
  })

  it('is refused as a link', () => {
    expect(judgeLinks(['renderer/parts/shell'])).toMatchObject([{ file: 'renderer/parts/shell' }])
  })
})

describe('SQL that writes a file', () => {
  const refused = (source: string): string[] =>
    judgeWriting(new Map([['db/x.ts', source]])).map(({ line, what }) => `${line}: ${what}`)

  it('is refused where it is not handed to app/files', () => {
    expect(refused("const a = 1\ndb.prepare('VACUUM INTO ?').run(path)")).toEqual(['2: VACUUM INTO'])
    expect(refused('db.exec(`vacuum into x`)')).toEqual(['1: vacuum into'])
    expect(refused("db.exec('ATTACH ? AS other')")).toEqual(['1: ATTACH ?'])
    expect(refused('await db.backup(path)')).toEqual(['1: .backup'])
  })

  it('is let through where it is', () => {
    expect(refused("createFileBy(path, (fresh) => db.prepare('VACUUM INTO ?').run(fresh))")).toEqual([])
    expect(refused("const copy = (p) => db.prepare('VACUUM INTO ?').run(p)\ncreateFileBy(a, copy)")).toEqual(
      [],
    )
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

  it.each([
    ['a comment of its file', '// forTests is fine\nexport const forTests = 3'],
    ['itself', 'export function forTests(n) { return n > 0 ? forTests(n - 1) : 0 }'],
  ])('is refused as an export that only a test and %s speak of', (_what, source) => {
    expect(
      unusedIn({
        [START]: "import { used } from '../used.ts'\nused()",
        'app/used.ts': `${source}\nexport const used = () => {}`,
        'test/used.test.ts': "import { forTests } from '../app/used.ts'\nconsole.log(forTests)",
      }),
    ).toEqual(['app/used.ts: forTests'])
  })

  it('is refused as an export where a test imports the same name from a file of the same name', () => {
    const shape = 'export const size = 1\nexport const used = () => size'
    expect(
      unusedIn({
        [START]:
          "import { used } from '../a/shape.ts'\nimport * as b from '../b/shape.ts'\nused(b.used, b.size)",
        'app/a/shape.ts': shape,
        'app/b/shape.ts': shape,
        'test/b/shape.test.ts': "import { size } from '../../app/b/shape.ts'\nconsole.log(size)",
      }),
    ).toEqual(['app/a/shape.ts: size'])
    expect(
      unusedIn({
        [START]: "import { used } from '../a/shape.ts'\nused()",
        'app/a/shape.ts': shape,
        'test/a/shape.test.ts': "import { size } from '../../app/a/shape.ts'\nconsole.log(size)",
      }),
    ).toEqual([])
  })

  it('is refused where the program begins, and in files of any ending', () => {
    const lost = ['app/a.mts', 'app/b.js', 'db/c.cjs', 'db/d.mjs', 'renderer/e.jsx']
    const files = Object.fromEntries(lost.map((file) => [file, '']))
    expect(unusedIn({ [START]: 'export const unused = 1', ...files })).toEqual(
      [...lost.map((file) => `${file}: ${file}`), `${START}: unused`].sort(),
    )
  })

  it('is refused as a style sheet', () => {
    const sources = new Map([
      ['renderer/a.tsx', "import './used.css'"],
      ['renderer/used.css', ''],
      ['renderer/lost.css', ''],
    ])
    expect(judgeStyles(sources).map(({ file }) => file)).toEqual(['renderer/lost.css'])
  })

  it('is not hidden by a tag', () => {
    const source = "/** A size.\n * @public */\nexport const a = '@internal'\n"
    expect(judgeTags(new Map([['app/a.ts', source]]))).toMatchObject([{ file: 'app/a.ts', what: '@public' }])
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

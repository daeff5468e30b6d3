// The table of imports refuses what it should, whatever form the import has, and the tree keeps to it.

import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { DOORS, EXCEPTIONS, ROWS } from './import-table.ts'
import { judgeImports } from './judge-imports.ts'
import { judgeTree } from './judge-tree.ts'

const whyNot = (file: string, source: string): string[] =>
  judgeImports(file, source).refusals.map(({ line, why }) => `${line}: ${why}`)

/** File, made-up source, and what the refusal has to say. */
const FORBIDDEN: readonly [string, string, RegExp][] = [
  ['app/dsp/x.ts', "import { readFileSync } from 'node:fs'", /app\/dsp runs where Node’s modules are not/],
  ['app/dsp/x.ts', "import fs from 'fs'", /Node’s modules/],
  [
    'app/dsp/x.ts',
    "import { Failure } from '../contract/failure.ts'",
    /nothing but itself, not app\/contract/,
  ],
  ['app/dsp/x.ts', "import type { Port } from '../contract/port.ts'", /nothing but itself/],
  ['app/dsp/x.ts', "import { z } from 'zod'", /only app\/contract may import zod/],
  ['app/contract/x.ts', "import { fft } from '../dsp/fft.ts'", /may import only types of app\/dsp/],
  ['app/contract/x.ts', "import { type Curve, fft } from '../dsp/curve.ts'", /only types/],
  ['app/contract/x.ts', "import { join } from 'node:path'", /Node’s modules/],
  ['app/audio/x.ts', "import '../engine/lane-mixer.ts'", /not app\/engine/],
  ['app/engine/x.ts', "import { pool } from '../workers/pool.ts'", /not app\/workers/],
  ['app/workers/x.ts', "import { bounce } from '../services/bounce.ts'", /not app\/services/],
  ['app/engine/x.ts', "import { openCatalogue } from '../../db/catalogue.ts'", /not db/],
  ['app/services/x.ts', "import Database from 'better-sqlite3'", /only db may import better-sqlite3/],
  ['app/services/x.ts', "import { Piscina } from 'piscina'", /only app\/workers may import piscina/],
  ['app/services/x.ts', "import { app } from 'electron'", /app\/hosts\/electron/],
  ['app/services/x.ts', "import { main } from '../hosts/start.ts'", /not app\/hosts/],
  ['db/x.ts', "import { bounce } from '../app/services/bounce.ts'", /not app\/services/],
  ['db/x.ts', "import { z } from 'zod'", /only app\/contract/],
  ['db/x.ts', "import { ledgerWords } from '../app/words/ledger.ts'", /not app\/words/],
  ['app/engine/x.ts', "import { findingWords } from '../words/findings.ts'", /not app\/words/],
  ['app/formats/x.ts', "import { Stem } from '../audio/sha256.ts'", /not app\/audio/],
  ['app/audio/x.ts', "import { midiFile } from '../formats/markers/midi-file.ts'", /not app\/formats/],
  ['app/dsp/x.ts', "import { hertz } from '../words/numbers.ts'", /nothing but itself, not app\/words/],
  [
    'app/words/x.ts',
    "import type { Finding } from '../dsp/meters/finding.ts'",
    /only app\/contract, not app\/dsp/,
  ],
  ['app/hosts/electron/x.ts', "import { WebSocket } from 'ws'", /only app\/hosts\/loopback may import ws/],
  ['app/hosts/electron/x.ts', "import { admit } from '../loopback/admission.ts'", /not app\/hosts\/loopback/],
  [
    'app/hosts/loopback/x.ts',
    "import { talk } from '../command-line/talk.ts'",
    /not app\/hosts\/command-line/,
  ],
  ['app/hosts/loopback/x.ts', "import { Command } from 'commander'", /command-line may import commander/],
  ['app/hosts/command-line/x.ts', "import { createPool } from '../../workers/pool.ts'", /not app\/workers/],
  [
    'app/hosts/command-line/x.ts',
    "import { openWindow } from '../electron/window.ts'",
    /not app\/hosts\/electron/,
  ],
  [
    'app/hosts/electron/preload.ts',
    "import { serve } from '../../contract/serve.ts'",
    /only types of app\/contract/,
  ],
  ['app/hosts/electron/preload.ts', "import { join } from 'node:path'", /Node’s modules/],
  ['renderer/shell/x.tsx', "import { bounce } from '../../app/services/bounce.ts'", /not app\/services/],
  ['renderer/shell/x.tsx', "import { fft } from '../../app/dsp/fft.ts'", /not app\/dsp/],
  ['renderer/playback/x.ts', "import WaveSurfer from 'wavesurfer.js'", /only renderer\/waveform/],
  ['renderer/shell/x.tsx', "import { ipcRenderer } from 'electron'", /may import electron/],
  ['renderer/shell/x.tsx', "import { readFileSync } from 'node:fs'", /Node’s modules/],
  ['app/services/x.ts', "import React from 'react'", /may import react/],
  [
    'app/services/x.ts',
    "import { x } from '../../test/signals/tones.ts'",
    /test\/signals\/tones.ts belongs to no row/,
  ],
  ['app/services/x.ts', "import { chunk } from 'lodash/fp'", /lodash stands nowhere in the table/],
  ['app/services/x.ts', "import FFT from 'fft.js'", /only tests import fft.js/],
  ['app/brandnew/x.ts', 'export const x = 1', /belongs to no row/],
  [
    'app/services/x.ts',
    "import { readFileSync, writeFileSync } from 'node:fs'",
    /only app\/files writes files, not app\/services: writeFileSync/,
  ],
  ['app/audio/x.ts', "import { openSync as read } from 'fs'", /only app\/files writes files/],
  ['app/audio/x.ts', "import { open } from 'node:fs/promises'", /only app\/files writes files/],
  ['db/x.ts', "import * as fs from 'node:fs'", /may import all of node:fs/],
  ['app/hosts/x.ts', "const fs = await import('node:fs')", /may import all of node:fs/],
  ['app/workers/x.ts', "export { rmSync } from 'node:fs'", /may import all of node:fs/],
  ['app/files/x.ts', "export { writeFileSync } from 'node:fs'", /passes node:fs on to nobody/],
  ['app/services/x.ts', "const fs = process.getBuiltinModule('fs')", /may import all of fs/],
  ['app/services/x.ts', "import { execSync } from 'node:child_process'", /may import node:child_process/],
  ['db/x.ts', "import { exec } from 'child_process'", /may import node:child_process/],
  ['db/x.ts', "import { DatabaseSync } from 'node:sqlite'", /node:sqlite stands nowhere/],
  ['app/engine/x.ts', "import { writeHeapSnapshot } from 'node:v8'", /may import node:v8/],
  ['app/services/x.ts', "import { Worker } from 'node:worker_threads'", /may import node:worker_threads/],
  ['app/services/x.ts', "import { getBuiltinModule } from 'node:process'", /node:process stands nowhere/],
  ['app/services/x.cjs', "module.exports = module.require('fs')", /may import all of fs/],
  ['app/hosts/x.ts', 'const load = createRequire(import.meta.url)', /worked out while running/],
  ['app/hosts/x.ts', 'module.createRequire(import.meta.url)(name)', /worked out while running/],
  ['app/hosts/x.ts', "import { createRequire as load } from 'node:module'", /worked out while running/],
  ['app/dsp/x.ts', '/// <reference types="node" />', /node stands nowhere/],
  ['app/dsp/x.ts', '/// <reference lib="dom" />', /dom stands nowhere/],
  ['renderer/formats/x.ts', '/// <reference path="../shell/app.tsx" />', /not renderer\/shell/],
  ['renderer/parts/x.ts', "new URL('../shell/app.tsx', import.meta.url)", /not renderer\/shell/],
  [
    'renderer/acts/x.ts',
    "new Worker(new URL('../places/stack/w.ts', import.meta.url))",
    /not renderer\/places/,
  ],
  ['renderer/playback/x.ts', "new URL('../../app/engine/w.ts', import.meta.url)", /not app\/engine/],
  ['renderer/parts/x.ts', "import.meta.glob('../places/**/*.tsx')", /worked out while running/],
  ['renderer/parts/x.css', '/* a */ @import "../shell/app.css";', /not renderer\/shell/],
  ['renderer/places/chain/x.css', "@import url('../stack/stack.css');", /not renderer\/places\/stack/],
  ['renderer/parts/x.css', '.a { background: url(../places/stack/x.svg) }', /not renderer\/places\/stack/],
  ['renderer/widgets/x.ts', "import { App } from '../shell/app.tsx'", /belongs to no row/],
  ['renderer/x.ts', "import { App } from './shell/app.tsx'", /belongs to no row/],
  ['app/dsp/x.ts', "export * from './stage.ts'", /name what is passed on/],
  ['app/dsp/x.ts', "export * as stage from './stage.ts'", /name what is passed on/],
]

/** Each way to write an import of Node's file system where it is not. */
const FORMS: readonly [string, string][] = [
  ['import', "import fs from 'node:fs'"],
  ['import for its effects', "import 'node:fs'"],
  ['import of types', "import type { Stats } from 'node:fs'"],
  ['import of inline types', "import { type Stats } from 'node:fs'"],
  ['export from', "export { readFileSync } from 'node:fs'"],
  ['export types from', "export type { Stats } from 'node:fs'"],
  ['import() of a string', "const fs = await import('node:fs')"],
  ['import() in a type', "type Stats = import('node:fs').Stats"],
  ['import = require()', "import fs = require('node:fs')"],
  ['require()', "const fs = require('node:fs')"],
  ['createRequire()()', "const fs = createRequire(import.meta.url)('node:fs')"],
  ['import.meta.resolve()', "const path = import.meta.resolve('node:fs')"],
  ['import over several lines', "import {\n  readFileSync,\n} from 'node:fs'"],
]

describe('the table of imports', () => {
  it.each(FORBIDDEN)('refuses in %s: %s', (file, source, why) => {
    const refusals = whyNot(file, source)
    expect(refusals).toHaveLength(1)
    expect(refusals[0]).toMatch(why)
  })

  it.each(FORMS)('reads the form "%s"', (_form, source) => {
    expect(whyNot('app/dsp/x.ts', source)).toEqual(['1: app/dsp runs where Node’s modules are not'])
  })

  it('refuses an import() whose target is only known while running', () => {
    expect(whyNot('app/services/x.ts', 'const it = await import(name)')[0]).toMatch(/while running/)
  })

  it('names the line of each refusal', () => {
    const source = "// first\nimport { z } from 'zod'\n\nexport * from 'ws'\n"
    expect(judgeImports('db/x.ts', source).refusals.map(({ line, what }) => [line, what])).toEqual([
      [2, 'zod'],
      [4, 'ws'],
    ])
  })

  it('takes no comment and no string for an import', () => {
    const source = "// import 'zod'\n/* import('ws') */ const text = \"import { app } from 'electron'\"\n"
    expect(judgeImports('app/dsp/x.ts', source)).toMatchObject({ imports: 0, refusals: [] })
  })

  it.each([
    ['app/contract/x.ts', "import { z } from 'zod'\nimport type { Curve } from '../dsp/curve.ts'"],
    ['app/contract/x.ts', "export type { Curve } from '../dsp/curve.ts'"],
    ['app/hosts/command-line/verbs/x.ts', "import { h } from '../../loopback/loopback-host.ts'"],
    [
      'renderer/places/chain/x.tsx',
      "import url from './x.ts?worker&url'\nimport './x.css'\nimport { w } from '../../waveform/w.ts'",
    ],
    ['app/hosts/electron/preload.ts', "import { contextBridge } from 'electron'"],
    ['renderer/main.tsx', "import { createRoot } from 'react-dom/client'"],
    ['app/hosts/x.ts', "const path = createRequire(import.meta.url).resolve('electron/package.json')"],
    ['app/services/x.ts', "const folder = new URL('../../out/renderer', import.meta.url)"],
    [
      'renderer/parts/x.css',
      "/* @import '../shell/app.css' */ .a { background: url('data:image/png;base64,AA') }",
    ],
  ])('lets through what it should in %s', (file, source) => {
    expect(whyNot(file, source)).toEqual([])
  })

  it('knows every library that the program depends on', () => {
    const { dependencies } = JSON.parse(
      readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
    ) as { dependencies: Record<string, string> }
    expect(Object.keys(dependencies).filter((name) => !Object.hasOwn(DOORS, name))).toEqual([])
  })

  it('names rows only that there are', () => {
    const rows = new Set(ROWS.map(({ path }) => path))
    const named = [
      ...ROWS.flatMap(({ imports, importsTypesOf = [] }) => [...imports, ...importsTypesOf]),
      ...Object.values(DOORS).flat(),
    ]
    expect(named.filter((name) => !rows.has(name))).toEqual([])
  })
})

describe('the window', () => {
  it('is built again after a change in any folder that it imports from', () => {
    const outside = ROWS.filter(({ path }) => path.startsWith('renderer'))
      .flatMap(({ imports }) => imports)
      .filter((path) => !path.startsWith('renderer'))
    const script = readFileSync(new URL('../../app/scripts/build-window.ts', import.meta.url), 'utf8')
    expect(new Set(outside).size).toBeGreaterThan(1)
    for (const folder of new Set(outside)) expect(script).toContain(`'${folder}/**/*'`)
  })
})

describe('the tree', () => {
  const tree = judgeTree()

  it('keeps to the table', () => {
    expect(tree.files).toBeGreaterThan(200)
    expect(tree.imports).toBeGreaterThan(tree.files)
    expect(tree.refusals).toEqual([])
  })

  it(`needs each of the ${EXCEPTIONS.length} exceptions`, () => {
    expect(tree.unused).toEqual([])
  })
})

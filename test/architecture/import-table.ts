// Who may import whom, as a table: folders that may know each other, the one door of each
// library, and the few stated exceptions. A file belongs to the row with the longest path.

export interface Row {
  /** A folder, or one file, from the top of the tree. */
  readonly path: string
  /** Rows that this one may import besides itself. */
  readonly imports: readonly string[]
  /** Rows of which it may import types, which are gone when the program runs. */
  readonly importsTypesOf?: readonly string[]
  /** Whether Node's own modules are there where this runs. */
  readonly node: boolean
}

const HOST = ['app/hosts', 'app/services', 'app/files', 'app/words', 'app/contract', 'app/scripts'] as const

const STATE_AND_BELOW = [
  'app/contract',
  'app/words',
  'renderer/formats',
  'renderer/keys',
  'renderer/state',
] as const
const PANELS = [
  'archive',
  'bounce',
  'by-ear',
  'delivery',
  'exchange',
  'mic',
  'missing',
  'returns',
  'save-chain',
  'session',
  'voice',
].map((name) => `renderer/panels/${name}`)
const PANELS_AND_BELOW = [
  ...STATE_AND_BELOW,
  'renderer/acts',
  'renderer/parts',
  'renderer/waveform',
  'renderer/playback',
  ...PANELS,
] as const
const PLACES = ['chain', 'intake', 'ledger', 'mics', 'stack'].map((name) => `renderer/places/${name}`)

export const ROWS: readonly Row[] = [
  { path: 'app/contract', imports: [], importsTypesOf: ['app/dsp'], node: false },
  {
    path: 'app/dsp',
    imports: ['app/dsp/meters/k-weighting-design.ts', 'app/dsp/meters/true-peak-interpolator.ts'],
    node: false,
  },
  // Sentences for kinds and numbers, which the window and the command line share.
  { path: 'app/words', imports: ['app/contract'], node: false },
  // File formats and names of files as pure functions, from values to text and bytes.
  { path: 'app/formats', imports: ['app/contract', 'app/words'], node: true },
  // The one file of dsp that the window runs as well, see the exceptions.
  { path: 'app/dsp/stages/static-curves.ts', imports: ['app/dsp'], node: false },
  // Coefficients that the window's meter computes with on the audio thread, see the exceptions.
  { path: 'app/dsp/meters/k-weighting-design.ts', imports: [], node: false },
  { path: 'app/dsp/meters/true-peak-interpolator.ts', imports: ['app/dsp'], node: false },
  { path: 'app/files', imports: ['app/contract'], node: true },
  { path: 'app/audio', imports: ['app/contract', 'app/dsp', 'app/files'], node: true },
  { path: 'app/engine', imports: ['app/contract', 'app/dsp', 'app/files', 'app/audio'], node: true },
  {
    path: 'app/workers',
    imports: ['app/contract', 'app/dsp', 'app/files', 'app/audio', 'app/engine', 'db'],
    node: true,
  },
  // Identities and the merging of histories, pure: no files, no catalogue, no clock.
  { path: 'app/history', imports: ['app/contract'], node: true },
  // Bags of RFC 8493: texts, names and checks, pure.
  { path: 'app/bag', imports: [], node: false },
  { path: 'db', imports: ['app/contract', 'app/files', 'app/history'], node: true },
  {
    path: 'app/services',
    imports: [
      'app/contract',
      'app/dsp',
      'app/files',
      'app/bag',
      'app/audio',
      'app/engine',
      'app/workers',
      'app/formats',
      'app/words',
      'app/history',
      'db',
    ],
    node: true,
  },
  // The files directly in app/hosts, which every host may use.
  { path: 'app/hosts', imports: ['app/services', 'app/files', 'app/contract', 'app/scripts'], node: true },
  // What npm scripts run: build the window, write generated files.
  { path: 'app/scripts', imports: ['app/services', 'app/files', 'app/contract'], node: true },
  { path: 'app/hosts/command-line', imports: HOST, node: true },
  { path: 'app/hosts/loopback', imports: HOST, node: true },
  // For its log file, which no service knows of.
  { path: 'app/hosts/electron', imports: [...HOST, 'app/files'], node: true },
  // Runs sandboxed in the window's process, where only Electron's own module is there.
  {
    path: 'app/hosts/electron/preload.ts',
    imports: [],
    importsTypesOf: ['app/contract', 'app/hosts/electron'],
    node: false,
  },
  // The window, lowest layer first: each may know the layers before it, and no place knows another.
  { path: 'renderer/formats', imports: ['app/contract', 'app/words'], node: false },
  { path: 'renderer/keys', imports: ['app/contract', 'renderer/formats'], node: false },
  { path: 'renderer/state', imports: [...STATE_AND_BELOW], node: false },
  { path: 'renderer/acts', imports: [...STATE_AND_BELOW], node: false },
  { path: 'renderer/parts', imports: [...STATE_AND_BELOW], node: false },
  { path: 'renderer/waveform', imports: [...STATE_AND_BELOW], node: false },
  { path: 'renderer/playback', imports: [...STATE_AND_BELOW], node: false },
  { path: 'renderer/panels/archive', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/by-ear', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/bounce', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/delivery', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/exchange', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/missing', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/returns', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/mic', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/session', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/save-chain', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/panels/voice', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/places/chain', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/places/intake', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/places/ledger', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/places/mics', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/places/stack', imports: [...PANELS_AND_BELOW], node: false },
  { path: 'renderer/shell', imports: [...PANELS_AND_BELOW, ...PLACES], node: false },
  { path: 'renderer/styles', imports: [], node: false },
  // Starts the window. There is no row for all of renderer/, so that a new folder has to say what it may import.
  {
    path: 'renderer/main.tsx',
    imports: ['renderer/shell', 'renderer/state', 'renderer/styles'],
    node: false,
  },
  { path: 'electron.vite.config.ts', imports: [], node: true },
  { path: 'vitest.config.ts', imports: [], node: true },
]

const WINDOW = ROWS.map((row) => row.path).filter((path) => path.startsWith('renderer'))

/** The rows that may import each library; what stands here for nobody is used by the scripts alone. */
export const DOORS: Readonly<Record<string, readonly string[]>> = {
  zod: ['app/contract'],
  '@wasm-audio-decoders/flac': ['app/audio'],
  piscina: ['app/workers'],
  'better-sqlite3': ['db'],
  canonicalize: ['app/history'],
  yazl: ['app/services'],
  yauzl: ['app/services'],
  commander: ['app/hosts/command-line'],
  ws: ['app/hosts/loopback'],
  electron: ['app/hosts/electron', 'app/hosts/electron/preload.ts'],
  'env-paths': ['app/files', 'app/hosts'],
  open: ['app/hosts', 'app/hosts/loopback'],
  react: WINDOW,
  // The zoom commits a rendering at once, in one frame with what it undoes by hand.
  'react-dom': ['renderer/main.tsx', 'renderer/places/stack'],
  'react-aria-components': WINDOW,
  '@tanstack/react-query': WINDOW,
  'wavesurfer.js': ['renderer/waveform'],
  'd3-scale': ['renderer/parts'],
  'd3-shape': ['renderer/parts'],
  zustand: WINDOW,
  // Compiles the kernels of app/dsp/wasm.
  assemblyscript: ['app/scripts'],
  vite: ['app/scripts', 'electron.vite.config.ts'],
  'electron-vite': ['app/scripts', 'electron.vite.config.ts'],
  '@vitejs/plugin-react': ['electron.vite.config.ts'],
  vitest: ['vitest.config.ts'],
  // Only tests compare with them.
  'fft.js': [],
  'big-list-of-naughty-strings': [],
}

/**
 * The rows that may import each of Node's own modules, by its name without `node:`; null: every row where
 * Node runs. What is not here nobody imports: several write to the disk or run other programs.
 */
export const NODE_DOORS: Readonly<Record<string, readonly string[] | null>> = {
  crypto: null,
  // Which of their functions, and where, say READING_ONLY and WRITING_ROW.
  fs: null,
  'fs/promises': null,
  os: null,
  path: null,
  stream: null,
  'stream/promises': null,
  'timers/promises': null,
  url: null,
  util: null,
  child_process: ['app/hosts', 'app/hosts/command-line', 'app/hosts/loopback'],
  http: ['app/hosts/loopback'],
  module: ['app/hosts', 'app/hosts/command-line'],
  net: ['app/hosts/loopback'],
  v8: ['app/hosts/command-line'],
  worker_threads: ['app/workers'],
  // For the checksums of a zip.
  zlib: ['app/services'],
}

export interface Exception {
  /** A row or one file. */
  readonly from: string
  /** A row or a library. */
  readonly to: string
  readonly because: string
}

export const EXCEPTIONS: readonly Exception[] = [
  {
    from: 'app/hosts/compile-cache.mjs',
    to: 'node:fs',
    because: 'it makes a folder before it is known whether this Node can run TypeScript',
  },
  {
    from: 'renderer/places/chain',
    to: 'app/dsp/stages/static-curves.ts',
    because:
      'a curve is drawn while a knob moves, too often to ask a service for it; the file is pure and small',
  },
  ...['k-weighting-design', 'true-peak-interpolator'].map((name) => ({
    from: 'renderer/playback',
    to: `app/dsp/meters/${name}.ts`,
    because:
      'the meter of what is heard runs on the audio thread, where no service and no kernel is at hand; both files are pure and small',
  })),
  {
    from: 'app/hosts/command-line',
    to: 'app/hosts/loopback',
    because: '`serve` is one of the command line’s verbs',
  },
  {
    from: 'app/hosts/start.ts',
    to: 'app/hosts/loopback',
    because: '`npm start` opens the loopback host where Electron’s runtime is missing',
  },
  {
    from: 'app/scripts/build-window.ts',
    to: 'electron.vite.config.ts',
    because: 'a window that is out of date is built by the same settings as always',
  },
]

/** The row that writes: the only one that may import more of Node's file system than what reads. */
export const WRITING_ROW = 'app/files'

/** What of `node:fs` and `node:fs/promises` changes nothing on a disk. */
export const READING_ONLY: readonly string[] = [
  'accessSync',
  'constants',
  'existsSync',
  'fstatSync',
  'globSync',
  'lstatSync',
  'readFileSync',
  'readdirSync',
  'realpathSync',
  'statSync',
  'glob',
  'readFile',
  'readdir',
  'stat',
  'statfs',
]

/** More files than this in one folder need a reason. */
export const MAX_FILES_IN_FOLDER = 22

/** Folders with more files, and why each of them is not divided. */
export const LARGE_FOLDERS: Readonly<Record<string, string>> = {}

/** Where the files are that the table speaks of; test/ may import anything. */
export const CHECKED_FILES: readonly string[] = [
  'app/**/*.{ts,tsx,mts,cts,js,jsx,mjs,cjs}',
  'db/**/*.{ts,tsx,mts,cts,js,jsx,mjs,cjs}',
  'renderer/**/*.{ts,tsx,mts,cts,js,jsx,mjs,cjs,css}',
  '*.config.ts',
]

// The command line's table, verb by verb, in real processes: help, JSON, exit statuses, and one
// clear sentence for each thing that cannot be used, with nothing half-written and no take touched.

import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { afterAll, describe, expect, it } from 'vitest'
import { CHAIN_FORMAT, defaultStages } from '../../app/contract/chain-document.ts'
import type { FailureData as Data } from '../../app/contract/failure.ts'
import { FailureData } from '../../app/contract/wire/failure-data.ts'
import { hashOf } from '../hash-of.ts'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../signals/wave-bytes.ts'
import { documentOf, LAUNCHER, machineNode, PINNED_NODE, type Run, runTakeloft } from './run-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-command-line-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const at = (...names: string[]): string => join(folder, ...names)
const store = (name: string, contents: string | Uint8Array): string => {
  writeFileSync(at(name), contents)
  return at(name)
}
const chainFile = (name: string, stages: unknown, version = 1): string =>
  store(name, JSON.stringify({ format: CHAIN_FORMAT, version, name, stages }))

const sound = words16(randomWords(16, 48_000, 7))
const good = store('good.wav', waveBytes([fmtChunk(), chunkBytes('data', sound)]))
const chain = chainFile('chain.json', [
  { kind: 'trim', on: true, settings: { gainDb: -6, invertPolarity: false } },
  defaultStages['low-cut'],
  defaultStages.ceiling,
])
const withNan = new Float32Array(48_000).fill(0.1)
withNan[3000] = Number.NaN

describe('help', () => {
  it.each([
    ['demo', ['<dir>', '--json']],
    ['measure', ['<file>', '--json']],
    ['process', ['<in>', '<out>', '--chain', '--mic-curve', '--target-curve', '--encoding', '--json']],
    ['phrases', ['<guide>', '[files...]', '--json']],
    ['align', ['<guide>', '<file>', '<out>', '--tightness', '--json']],
    ['fit', ['--source', '--target', '--json']],
    ['bounce', ['--catalogue', '--session', '--out', '--encoding', '--layers', '--json']],
    ['verify', ['<manifest>', '--json']],
    ['export-voice', ['--catalogue', '--voice', '--out', '--json']],
    ['import-voice', ['<file>', '--catalogue', '--artist', '--json']],
    ['serve', ['--catalogue', '--port', '--json']],
  ])('of %s names what it takes and ends with 0', async (verb, words) => {
    const { status, stdout, stderr } = await runTakeloft([verb, '--help'])
    expect(status).toBe(0)
    expect(stderr).toBe('')
    for (const word of words) expect(stdout).toContain(word)
  })

  it('lists the verbs', async () => {
    const { status, stdout } = await runTakeloft(['--help'])
    expect(status).toBe(0)
    expect(
      stdout.match(
        /^ {2}(demo|measure|process|phrases|align|fit|bounce|verify|export-voice|import-voice|serve) /gm,
      ),
    ).toHaveLength(11)
  })

  it('says what each exit status means', async () => {
    const { stdout } = await runTakeloft(['--help'])
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain(
      'Exit status: 0 done; 1 a verification found differences; 2 the input or the call cannot be used, the act was cancelled, or Takeloft failed.',
    )
  })

  it('gives the version of package.json', async () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
      version: string
    }
    expect(await runTakeloft(['--version'])).toMatchObject({ status: 0, stdout: `${version}\n`, stderr: '' })
  })
})

describe('a call that cannot be used', () => {
  it.each<[string, string[], RegExp]>([
    ['an unknown verb', ['mix'], /unknown command 'mix'/],
    ['an unknown option', ['measure', good, '--loud'], /unknown option '--loud'/],
    ['a missing argument', ['measure'], /missing required argument 'file'/],
    ['a missing option', ['process', good, at('out.wav')], /required option '--chain <file>' not specified/],
    ['too many arguments', ['verify', 'a', 'b'], /too many arguments for 'verify'/],
    [
      'a session that is no number',
      ['bounce', '--catalogue', 'a', '--session', 'two', '--out', 'b'],
      /whole number from 1/,
    ],
    ['a port that is none', ['serve', '--port', '70000'], /whole number from 0 to 65535/],
    [
      'an unknown encoding',
      ['process', good, at('out.wav'), '--chain', chain, '--encoding', 'mp3'],
      /pcm-24, float-32/,
    ],
    ['no verb at all', [], /Usage: takeloft/],
  ])('(%s) ends with 2 and says why', async (_what, words, why) => {
    const { status, stdout, stderr } = await runTakeloft(words)
    expect(status).toBe(2)
    expect(stdout).toBe('')
    expect(stderr).toMatch(why)
    expect(stderr).not.toMatch(/^\s+at /m)
  })

  it('ends with 2 and one JSON document where JSON was asked for', async () => {
    const run = await runTakeloft(['measure', '--json'])
    expect(run.status).toBe(2)
    expect(documentOf(run)).toEqual({
      failure: { code: 'invalid-input', message: "missing required argument 'file'", details: {} },
    })
  })
})

describe('a recording that holds more than its header says', () => {
  const short = store('short.wav', waveBytes([fmtChunk(), chunkBytes('data', sound, { size: 100 })]))
  const remark = `${short} holds more than its header says: 0.001 s of sound were read, and 95900 bytes behind them were not; if sound is missing, export the recording again.`
  it.each<[string, () => string[]]>([
    ['measure', () => ['measure', short]],
    ['measure, levels only', () => ['measure', short, '--levels-only']],
    ['process', () => ['process', short, at('short-out.wav'), '--chain', chain]],
  ])('is used with a remark by %s', async (_verb, words) => {
    const run = await runTakeloft([...words(), '--json'])
    expect(run.status).toBe(0)
    expect(documentOf(run)).toMatchObject({ frames: 50, remarks: [remark] })
    expect(run.stderr).toContain(`${remark}\n`)
  })
})

describe('measure', () => {
  it('prints the facts as one JSON document and nothing else there', async () => {
    const run = await runTakeloft(['measure', good, '--json'])
    expect(run.status).toBe(0)
    const facts = documentOf(run)
    expect(facts).toMatchObject({ sha256: hashOf(good), sampleRateHz: 48_000, channels: 1, frames: 48_000 })
    expect(Object.keys(facts)).toEqual(
      expect.arrayContaining([
        'encoding',
        'integratedLufs',
        'loudnessRangeLu',
        'maxMomentaryLufs',
        'maxShortTermLufs',
        'truePeakDbtp',
        'samplePeakDbfs',
        'dcOffset',
        'findings',
      ]),
    )
  })

  it('gives the same levels without the check and the voice', async () => {
    const [whole, levels] = await Promise.all([
      runTakeloft(['measure', good, '--json']),
      runTakeloft(['measure', good, '--levels-only', '--json']),
    ])
    expect(levels.status).toBe(0)
    const facts = documentOf(levels)
    expect(facts).toHaveProperty('truePeakDbtp', expect.any(Number))
    expect(facts).not.toHaveProperty('voice')
    expect(documentOf(whole)).toMatchObject({ ...facts, findings: expect.anything() })
  })

  it('prints lines for people without --json', async () => {
    const { status, stdout } = await runTakeloft(['measure', good])
    expect(status).toBe(0)
    expect(stdout).toMatch(/integrated +-\d+\.\d LUFS/)
    expect(stdout).toMatch(/48000 Hz, 1 ch/)
  })

  const BAD: readonly [string, string, string, RegExp][] = [
    ['a missing file', at('missing.wav'), 'not-found', /^There is no file at .*missing\.wav; check the name/],
    [
      'a truncated WAV',
      store('truncated.wav', waveBytes([fmtChunk(), chunkBytes('data', sound).subarray(0, 8)])),
      'damaged',
      /truncated\.wav is cut short: its header promises \d\.\d\d s and none of it can be read; copy it again/,
    ],
    ['an empty file', store('empty.wav', ''), 'empty', /empty\.wav is empty \(0 bytes\); copy/],
    [
      'a text named .wav',
      store('text.wav', 'verse one\n'.repeat(99)),
      'not-audio',
      /text\.wav cannot be read: it looks like text; .*export/,
    ],
    [
      'MP3 in a WAV',
      store('mp3.wav', waveBytes([fmtChunk({ tag: 0x55 }), chunkBytes('data', sound)])),
      'not-supported',
      /mp3\.wav is a WAV whose sound is MP3 \(format tag 0055h\); .*Export it as 24-bit PCM/,
    ],
    [
      'a WAV of 0 channels',
      store('none.wav', waveBytes([fmtChunk({ channels: 0 }), chunkBytes('data', sound)])),
      'damaged',
      /none\.wav is damaged: its header says 0 channels; export/,
    ],
    [
      'NaN in a WAV',
      store(
        'nan.wav',
        waveBytes([fmtChunk({ tag: 3, bits: 32 }), chunkBytes('data', Buffer.from(withNan.buffer))]),
      ),
      'not-finite',
      /nan\.wav has a sample that is not a number, or is beyond the range of 32-bit float, at 0\.063 s \(frame 3000, channel 1\); export/,
    ],
    ['a folder', folder, 'not-readable', /is a folder; choose a recording inside it\.$/],
  ]
  it.each(BAD)(
    'refuses %s with 2, a code and one sentence, and leaves it as it was',
    async (_what, path, code, why) => {
      const isFile = existsSync(path) && path !== folder
      const before = isFile ? hashOf(path) : ''
      const run = await runTakeloft(['measure', path, '--json'])
      expect(run.status).toBe(2)
      const { failure } = documentOf(run) as { failure: Data }
      expect(FailureData.parse(failure).code).toBe(code)
      expect(run.sentence).toMatch(why)
      expect(run.sentence).toBe(failure.message)
      expect(run.sentence).toMatch(/\.$/)
      expect(run.stderr).not.toMatch(/^\s+at /m)
      if (isFile) expect(hashOf(path)).toBe(before)
    },
  )
})

describe('process', () => {
  it('says once that a mic correction needs the curve of the mic, and how to give it', async () => {
    const path = chainFile('corrected.json', Array(24).fill(defaultStages['mic-correction']))
    const words = ['process', good, at('uncorrected.wav'), '--chain', path, '--json']
    const run = await runTakeloft(words)
    const remark =
      'The mic correction does nothing, because no curve of the take’s mic was given; give one with --mic-curve.'
    expect(documentOf(run)).toMatchObject({ remarks: [remark] })
    expect(run.stderr.split(remark)).toHaveLength(2)
    const curve = store('mic.csv', 'Frequency,Left,Right\n20,0,9\n1000,5,9\n20000,1,9')
    expect(
      documentOf(await runTakeloft([...words, '--mic-curve', curve].with(2, at('corrected.wav')))),
    ).toMatchObject({ remarks: ['2 columns may be the level; column 2 ("Left") was read.'] })
  })

  it('counts one of something in the singular', async () => {
    const one = store('one.wav', waveBytes([fmtChunk(), chunkBytes('data', words16([32767]))]))
    const loud = chainFile('loud.json', [
      { kind: 'trim', on: true, settings: { gainDb: 12, invertPolarity: false } },
    ])
    const { stdout, stderr } = await runTakeloft(['process', one, at('louder.wav'), '--chain', loud])
    expect(stdout).toContain('louder.wav: 1 frame\n')
    expect(stderr).toContain('1 sample did not fit and was held at full scale')
    expect((await runTakeloft(['measure', one])).stdout).toContain('(1 frame)')
  })

  const processed = (name: string, words: readonly string[] = []): Promise<Run> =>
    runTakeloft(['process', good, at(name), '--chain', chain, '--json', ...words])

  it('writes the file and says what each stage did', async () => {
    const before = hashOf(good)
    const run = await processed('out.wav')
    expect(run.status).toBe(0)
    const { out, frames, stages } = documentOf(run) as { out: string; frames: number; stages: object[] }
    expect(out).toBe(at('out.wav'))
    expect(frames).toBe(48_000)
    expect(stages).toEqual(
      ['trim', 'low-cut', 'ceiling'].map((kind) =>
        expect.objectContaining({
          kind,
          levelInDbfs: expect.any(Number),
          levelOutDbfs: expect.any(Number),
        }),
      ),
    )
    expect(readFileSync(at('out.wav')).toString('latin1', 0, 4)).toBe('RIFF')
    expect(hashOf(good)).toBe(before)
  })

  it('gives the same bytes again', async () => {
    await Promise.all([processed('first.wav'), processed('second.wav')])
    expect(hashOf(at('second.wav'))).toBe(hashOf(at('first.wav')))
  })

  it.each<[string, () => string, RegExp]>([
    [
      'the take itself',
      () => good,
      /is the take itself, and takes are never written to; name another file\.$/,
    ],
    ['the take by another way', () => join(folder, 'x', '..', 'good.wav'), /is the take itself/],
    [
      'a folder that does not exist',
      () => at('nowhere', 'out.wav'),
      /cannot be written because there is no folder/,
    ],
    [
      'a folder that is a file',
      () => join(good, 'out.wav'),
      /cannot be written because a part of that path is a file/,
    ],
    ['a folder’s own name', () => folder, /already exists and was left as it is/],
  ])('refuses to write to %s', async (_where, to, why) => {
    const before = hashOf(good)
    const files = readdirSync(folder).length
    const { status, sentence } = await runTakeloft(['process', good, to(), '--chain', chain])
    expect(status).toBe(2)
    expect(sentence).toMatch(why)
    expect(hashOf(good)).toBe(before)
    expect(readdirSync(folder)).toHaveLength(files)
  })

  it.each<[string, () => string, RegExp]>([
    [
      'with an unknown stage',
      () => chainFile('unknown.json', [{ kind: 'reverb' }]),
      /asks for a stage "reverb" that does not exist; the stages are trim,/,
    ],
    [
      'of a newer version',
      () => chainFile('newer.json', [], 2),
      /has chain format version 2, and this Takeloft knows up to 1; update Takeloft/,
    ],
    [
      'that is no JSON',
      () => store('text.json', 'stages: none'),
      /is not JSON and so not a chain; choose a chain file/,
    ],
    [
      'that is another JSON',
      () => store('other.json', '{"format":"x"}'),
      /is not a Takeloft chain: at format: /,
    ],
    [
      'with a setting out of range',
      () =>
        chainFile('range.json', [{ ...defaultStages.trim, settings: { gainDb: 99, invertPolarity: false } }]),
      /at stages\[0\]\.settings\.gainDb: too big/,
    ],
    ['that is not there', () => at('no-chain.json'), /^There is no file at .*no-chain\.json/],
  ])('refuses a chain %s', async (_what, file, why) => {
    const path = file()
    const { status, sentence } = await runTakeloft(['process', good, at('refused.wav'), '--chain', path])
    expect(status).toBe(2)
    expect(sentence).toMatch(why)
    expect(sentence).toContain(path)
    expect(existsSync(at('refused.wav'))).toBe(false)
  })

  it('leaves nothing behind when it is interrupted, and says so', async () => {
    const words = words16(randomWords(16, 48_000 * 240, 8))
    const long = store('long.wav', waveBytes([fmtChunk(), chunkBytes('data', words)]))
    const every = chainFile('every.json', Object.values(defaultStages))
    const child = spawn(PINNED_NODE, [LAUNCHER, 'process', long, at('stopped.wav'), '--chain', every], {
      stdio: ['ignore', 'ignore', 'pipe'],
    })
    let said = ''
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      if (!said.includes('Processing') && text.includes('Processing')) child.kill('SIGINT')
      said += text
    })
    expect(await once(child, 'close')).toEqual([2, null])
    expect(said).toMatch(/\nCancelled\.\n$/)
    expect(readdirSync(folder).filter((name) => name.includes('stopped'))).toEqual([])
    rmSync(long)
  })

  it('refuses a take with NaN and leaves nothing half-written', async () => {
    const { status, sentence } = await runTakeloft([
      'process',
      at('nan.wav'),
      at('refused.wav'),
      '--chain',
      chain,
    ])
    expect(status).toBe(2)
    expect(sentence).toMatch(/not a number, or is beyond the range of 32-bit float, at 0\.063 s/)
    expect(readdirSync(folder).filter((name) => name.includes('refused'))).toEqual([])
  })
})

describe('fit', () => {
  const rows = (level: (frequencyHz: number) => number): string =>
    Array.from({ length: 61 }, (_, n) => 20 * 10 ** (n / 20))
      .map((frequencyHz) => `${frequencyHz.toFixed(2)},${level(frequencyHz).toFixed(3)}`)
      .join('\n')
  const flat = store(
    'flat.csv',
    rows(() => 0),
  )
  const bright = store(
    'bright.csv',
    rows((f) => 4 / (1 + (8000 / f) ** 2)),
  )

  it('prints the bands and how far they are off', async () => {
    const run = await runTakeloft(['fit', '--source', bright, '--target', flat, '--json'])
    expect(run.status).toBe(0)
    const { bands, rmsErrorDb, maxErrorDb } = documentOf(run) as {
      bands: { shape: string }[]
      rmsErrorDb: number
      maxErrorDb: number
    }
    expect(bands.length).toBeGreaterThan(0)
    for (const band of bands) {
      expect(Object.keys(band).sort()).toEqual(['frequencyHz', 'gainDb', 'q', 'shape'])
      expect(['low-shelf', 'bell', 'high-shelf']).toContain(band.shape)
    }
    expect(rmsErrorDb).toBeLessThanOrEqual(maxErrorDb)
  })

  it('refuses a curve that is none in one sentence', async () => {
    const none = store('none.csv', 'frequency,level\nloud,soft\n')
    const { status, sentence, stdout } = await runTakeloft(['fit', '--source', none, '--target', flat])
    expect(status).toBe(2)
    expect(stdout).toBe('')
    expect(sentence).toContain(none)
    expect(sentence).toMatch(/\.$/)
  })
})

describe('bounce', () => {
  it('makes no catalogue of a mistyped name, and says which is not there', async () => {
    const { status, stdout, stderr } = await runTakeloft([
      ...['bounce', '--catalogue', at('typo.sqlite'), '--session', '1', '--out', at('stems')],
    ])
    expect([status, stdout]).toEqual([2, ''])
    expect(stderr).toMatch(/There is no catalogue .*typo\.sqlite; check its name and folder\./)
    for (const name of ['typo.sqlite', 'stems', 'peaks', 'working copies'])
      expect(existsSync(at(name))).toBe(false)
  })
})

describe('serve', () => {
  const running: ChildProcess[] = []
  afterAll(() => {
    for (const child of running) child.kill('SIGKILL')
  })

  const serve = async (
    node: string,
  ): Promise<{ child: ChildProcess; address: string; stderr: () => string }> => {
    mkdirSync(at('served'), { recursive: true })
    const words = ['serve', '--catalogue', at('served', 'catalogue.sqlite')]
    const child = spawn(node, [LAUNCHER, ...words], { stdio: ['ignore', 'pipe', 'pipe'] })
    running.push(child)
    let stderr = ''
    child.stderr!.on('data', (data) => {
      stderr += data
    })
    const [address] = (await once(createInterface(child.stdout!), 'line')) as [string]
    return { child, address, stderr: () => stderr }
  }

  it.each([
    ['the pinned Node', PINNED_NODE],
    ['the machine’s own Node', machineNode() ?? PINNED_NODE],
  ])('prints an address that answers until it is ended (%s)', async (_which, node) => {
    const { child, address, stderr } = await serve(node)
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/\?token=[\w-]{32}$/)
    expect((await fetch(address)).status).toBe(200)
    const ended = once(child, 'close')
    child.kill('SIGTERM')
    expect((await ended)[0], stderr()).toBe(0)
    await expect(fetch(address)).rejects.toThrow()
  })
})

describe('the launcher', () => {
  const node = machineNode()

  it.skipIf(node === null)(
    'started by the machine’s own Node does the same as by the pinned one',
    async () => {
      const version = execFileSync(node!, ['--version'], { encoding: 'utf8' }).trim()
      const [own, pinned] = await Promise.all([
        runTakeloft(['measure', good, '--json'], node!),
        runTakeloft(['measure', good, '--json']),
      ])
      expect({ version, ...own }).toEqual({ version, ...pinned })
      expect(own.status).toBe(0)
    },
  )

  it.skipIf(node === null)('passes on the exit status', async () => {
    expect((await runTakeloft(['measure', at('missing.wav')], node!)).status).toBe(2)
  })
})

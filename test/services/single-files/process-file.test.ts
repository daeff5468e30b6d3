// A file that is written to while it is processed makes nothing; a killed run leaves nothing for long.

import { spawnSync } from 'node:child_process'
import {
  appendFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { Failure } from '../../../app/contract/failure.ts'
import { measureFile, measureFileLevels } from '../../../app/services/single-files/measure-file.ts'
import { processFile } from '../../../app/services/single-files/process-file.ts'
import { PINNED_NODE } from '../../hosts/run-takeloft.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../../signals/wave-bytes.ts'
import { context, openWorkshop } from '../workshop.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-process-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const chain = join(folder, 'chain.json')
writeFileSync(chain, JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'none', stages: [] }))

function noiseFile(name: string): string {
  const path = join(folder, name)
  const writer = createWaveWriter(path, {
    sampleRateHz: 48_000,
    channels: 1,
    encoding: 'pcm-24',
    ditherSeed: null,
  })
  // Long enough, with drive, to be at work when progress is first told after 50 ms.
  const second = whiteNoise(48_000, 1, 0.1)
  for (let n = 0; n < 120; n++) writer.write([second], 48_000)
  writer.finish()
  return path
}

const MISHAPS: Readonly<Record<string, (path: string) => void>> = {
  'grown longer': (path) => appendFileSync(path, 'more'),
  'written again': (path) => utimesSync(path, new Date(), new Date()),
}

it.each(Object.entries(MISHAPS))('a file that was %s', async (what, mishap) => {
  const from = noiseFile(`${what}.wav`)
  const to = join(folder, `${what} processed.wav`)
  let isDone = false
  const run = processFile(
    {
      from,
      to,
      chainPath: chainOf('drive'),
      micCurvePath: undefined,
      targetCurvePath: undefined,
      encoding: 'float-32',
    },
    {
      signal: new AbortController().signal,
      report() {
        if (!isDone) mishap(from)
        isDone = true
      },
    } as Parameters<typeof processFile>[1],
  )
  await expect(run).rejects.toMatchObject({ code: 'changed', details: { path: from } })
  expect(isDone).toBe(true)
  expect(existsSync(to)).toBe(false)
})

it('what a killed run left beside the result is removed by a run that is refused', async () => {
  const results = mkdtempSync(join(folder, 'results-'))
  const to = join(results, 'processed.wav')
  const newFile = JSON.stringify(join(import.meta.dirname, '../../../app/files/new-file.ts'))
  const killed = spawnSync(PINNED_NODE, [
    '--input-type=module',
    '-e',
    `const { createNewFile } = await import(${newFile})
    createNewFile(${JSON.stringify(to)}).write(Buffer.from('half'), 0)
    process.kill(process.pid, 'SIGKILL')`,
  ])
  expect(killed.signal).toBe('SIGKILL')
  writeFileSync(to, 'mine')
  expect(readdirSync(results)).toHaveLength(2)
  const request = { chainPath: chain, micCurvePath: undefined, targetCurvePath: undefined }
  const run = processFile({ ...request, from: chain, to, encoding: 'pcm-24' }, context)
  await expect(run).rejects.toMatchObject({ code: 'conflict' })
  expect(readdirSync(results)).toEqual(['processed.wav'])
})

function trimBy(gainDb: number): string {
  const path = join(folder, `trim ${gainDb}.json`)
  const stages = [{ kind: 'trim', on: true, settings: { gainDb, invertPolarity: false } }]
  writeFileSync(path, JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'trim', stages }))
  return path
}

function chainOf(kind: keyof typeof defaultStages): string {
  const path = join(folder, `${kind}.json`)
  const stages = [{ ...defaultStages[kind], on: true }]
  writeFileSync(path, JSON.stringify({ format: 'takeloft-chain', version: 1, name: kind, stages }))
  return path
}

const run = (from: string, to: string, chainPath: string, encoding: 'pcm-24' | 'float-32') =>
  processFile({ from, to, chainPath, micCurvePath: undefined, targetCurvePath: undefined, encoding }, context)

const processed = async (from: string): Promise<string> => {
  const to = join(folder, `${basename(from)} out.wav`)
  rmSync(to, { force: true })
  await run(from, to, trimBy(-30), 'pcm-24')
  return to
}

function write(name: string, channels: readonly Float64Array[], bits: 32 | 64 = 32): string {
  const data = Buffer.alloc((channels[0].length * channels.length * bits) / 8)
  for (let i = 0, at = 0; i < channels[0].length; i++) {
    for (const channel of channels) {
      if (bits === 64) data.writeDoubleLE(channel[i], at)
      else data.writeFloatLE(channel[i], at)
      at += bits / 8
    }
  }
  const path = join(folder, name)
  writeFileSync(
    path,
    waveBytes([fmtChunk({ tag: 3, bits, channels: channels.length }), chunkBytes('data', data)]),
  )
  return path
}

describe('the dither of a processed file', () => {
  // What is left of the words without the sound: the dither and the rounding. Pearson's correlation.
  const noiseOf = async (from: string, samples: Float64Array): Promise<Float64Array> => {
    const out = openAudioFile(await processed(from))
    const into = new Float64Array(samples.length)
    out.read(0, samples.length, [into])
    out.close()
    return into.map((x, i) => x - samples[i] * 10 ** (-30 / 20))
  }
  const correlationOf = (a: Float64Array, b: Float64Array): number => {
    const sum = (x: Float64Array, y: Float64Array): number =>
      x.reduce((total, one, i) => total + one * y[i], 0)
    return sum(a, b) / Math.sqrt(sum(a, a) * sum(b, b))
  }

  it('is its own for every file, and the same each time', async () => {
    const sounds = [1, 2].map((seed) => Float64Array.from(new Float32Array(whiteNoise(400_000, seed, 0.5))))
    const files = sounds.map((sound, i) => write(`dither ${i}.wav`, [sound]))
    const [one, other] = [await noiseOf(files[0], sounds[0]), await noiseOf(files[1], sounds[1])]
    // Independent noise of N samples: standard deviation 1 / sqrt N = 0.0016.
    expect(Math.abs(correlationOf(one, other))).toBeLessThan(0.01)
    expect(await noiseOf(files[0], sounds[0])).toEqual(one)
  })

  it('is its own where files differ in one place only, as after a retouch', async () => {
    const take = Float64Array.from(new Float32Array(whiteNoise(400_000, 3, 0.5)))
    const retouched = take.with(123_456, 0)
    const noises = [
      await noiseOf(write('dither take.wav', [take]), take),
      await noiseOf(write('dither retouched.wav', [retouched]), retouched),
    ]
    expect(Math.abs(correlationOf(noises[0], noises[1]))).toBeLessThan(0.01)
  })
})

it('reports the level into the first stage, whichever it is', async () => {
  const file = write('level.wav', [Float64Array.from({ length: 48_000 }, (_, n) => 0.25 * Math.sin(0.1 * n))])
  // A sine of 0.25: -12.04 dBFS at its peak, 3.01 dB lower as RMS.
  for (const kind of ['de-ess', 'drive', 'opto', 'low-cut', 'expander'] as const) {
    const { stages } = await run(file, join(folder, `level ${kind}.wav`), chainOf(kind), 'float-32')
    expect(stages[0].levelInDbfs, kind).toBeCloseTo(-15.05, 1)
  }
})

it('writes no sample that became infinite on its way into 32-bit float', async () => {
  const samples = new Float64Array(48_000)
  samples[24_000] = 3.4e38
  const file = write('huge.wav', [samples])
  const to = join(folder, 'huge out.wav')
  await expect(run(file, to, trimBy(6), 'float-32')).rejects.toMatchObject({ code: 'not-finite' })
  expect(existsSync(to)).toBe(false)
})

describe('one rule at every door', () => {
  const shopOf = async () => {
    const shop = openWorkshop()
    return { shop, session: await shop.createSession() }
  }
  const refusals = async (path: string): Promise<string[]> => {
    const { shop, session } = await shopOf()
    const { refused } = await shop.handlers.importTakes(
      { sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
      context,
    )
    const message = (run: Promise<unknown>): Promise<string> =>
      run.then(
        () => 'taken',
        (error: Failure) => error.message,
      )
    const sentences = [
      await message(measureFile(path, context)),
      await message(measureFileLevels(path, context)),
      await message(processed(path)),
      refused[0]?.failure.message ?? 'taken',
    ]
    return sentences.map((sentence) => sentence.replaceAll(`${folder}/`, ''))
  }

  it.each([
    ['1e300', 1e300, 64],
    ['beyond 32-bit float', 3.5e38, 64],
    ['NaN', Number.NaN, 32],
    ['infinity', Number.POSITIVE_INFINITY, 32],
    ['minus infinity', Number.NEGATIVE_INFINITY, 64],
  ] as const)('%s is refused with one sentence', async (name, value, bits) => {
    const samples = whiteNoise(48_000, 1, 0.1)
    samples[24_000] = value
    const file = `${name}.wav`
    const sentence = `${file} has a sample that is not a number, or is beyond the range of 32-bit float, at 0.500 s (frame 24000, channel 1); export it again from where it was recorded.`
    expect(await refusals(write(file, [samples], bits))).toEqual([sentence, sentence, sentence, sentence])
  })

  it.each([3, 4, 5, 6, 7, 8])('%i channels', async (count) => {
    const file = `${count} channels.wav`
    const sentence = `${file} has ${count} channels, and a take has one or two; export the vocal's channels by themselves.`
    const channels = Array.from({ length: count }, (_, seed) => whiteNoise(48_000, seed, 0.1))
    // 5.0 and 5.1 have weights in BS.1770-5 Table 3, so they can be measured; they are no takes.
    const measured = count === 5 || count === 6 ? 'taken' : sentence
    expect(await refusals(write(file, channels))).toEqual([measured, measured, sentence, sentence])
  })
})

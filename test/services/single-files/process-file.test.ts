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
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import { processFile } from '../../../app/services/single-files/process-file.ts'
import { PINNED_NODE } from '../../hosts/run-takeloft.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context } from '../workshop.ts'

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
  // Long enough to be at work when progress is first told.
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
    { from, to, chainPath: chain, micCurvePath: undefined, targetCurvePath: undefined, encoding: 'float-32' },
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

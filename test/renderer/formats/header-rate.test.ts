// The rate in the head of files that ffmpeg wrote, compared with the rate that it was asked for.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { commonest, HEAD_BYTES, headerRateHz } from '../../../renderer/formats/header-rate.ts'
import { hasTool } from '../../require-tool.ts'

const headOf = (bytes: Buffer): ArrayBuffer => Uint8Array.from(bytes.subarray(0, HEAD_BYTES)).buffer

describe.skipIf(!hasTool('ffmpeg'))('the rate in the head of a file by ffmpeg', () => {
  it.each(
    [44_100, 48_000, 88_200, 96_000].flatMap((rate) =>
      [['wav'], ['wav', '-write_bext', '1'], ['wav', '-rf64', 'always'], ['aiff'], ['flac']].map(
        ([type, ...options]) => [rate, type, options] as const,
      ),
    ),
  )('%s Hz, %s %s', (rate, type, options) => {
    const folder = mkdtempSync(join(tmpdir(), 'takeloft-head-'))
    onTestFinished(() => rmSync(folder, { recursive: true }))
    const file = join(folder, `tone.${type}`)
    const tone = `sine=frequency=440:sample_rate=${rate}:duration=0.1`
    execFileSync('ffmpeg', ['-loglevel', 'error', '-f', 'lavfi', '-i', tone, ...options, file])
    expect(headerRateHz(headOf(readFileSync(file)))).toBe(rate)
  })
})

it('has none in what is no sound file, or too short', () => {
  expect(headerRateHz(headOf(Buffer.from('this is a text, not a sound file')))).toBeNull()
  expect(headerRateHz(headOf(Buffer.from('RIFF')))).toBeNull()
  expect(
    headerRateHz(headOf(Buffer.from('RIFF\xff\xff\xff\xffWAVELIST\xff\xff\xff\xffabcd', 'latin1'))),
  ).toBeNull()
})

it('takes the commonest, the first of several', () => {
  expect(commonest([48_000, 44_100, 44_100])).toBe(44_100)
  expect(commonest([96_000, 48_000])).toBe(96_000)
  expect(commonest([])).toBeNull()
})

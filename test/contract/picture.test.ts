// Headers written by hand from the standards named in picture.ts, and pictures as ffmpeg writes them.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readPictureHeader } from '../../app/contract/picture.ts'

const bytes = (...parts: (string | number[])[]): Uint8Array =>
  Uint8Array.from(
    parts.flatMap((part) => (typeof part === 'string' ? [...part].map((c) => c.charCodeAt(0)) : part)),
  )
const png = (width: number, height: number): Uint8Array => {
  const word = (value: number) => [value >> 24, (value >> 16) & 255, (value >> 8) & 255, value & 255]
  return bytes('\x89PNG\r\n\x1a\n', word(13), 'IHDR', word(width), word(height), [8, 2, 0, 0, 0])
}

describe('a picture is known by its first bytes', () => {
  it('PNG', () => {
    expect(readPictureHeader(png(1200, 700), 'a')).toEqual({ type: 'png', width: 1200, height: 700 })
  })
  it('JPEG, past other segments', () => {
    const app0 = [0xff, 0xe0, 0, 4, 1, 2]
    const tables = [0xff, 0xc4, 0, 3, 9]
    const frame = [0xff, 0xc2, 0, 11, 8, 2, 188, 4, 176, 1, 1, 17, 0]
    expect(readPictureHeader(bytes([0xff, 0xd8], app0, tables, frame), 'a')).toEqual({
      type: 'jpeg',
      width: 1200,
      height: 700,
    })
  })
  it('WebP in its three forms', () => {
    const riff = (kind: string, rest: number[]) => bytes('RIFF', [0, 0, 0, 0], 'WEBP', kind, rest)
    const pad = (rest: number[]) => [...rest, ...Array<number>(12).fill(0)]
    const size = { type: 'webp', width: 1200, height: 700 }
    expect(readPictureHeader(riff('VP8X', pad([0, 0, 0, 0, 0, 0, 0, 0, 175, 4, 0, 187, 2, 0])), 'a')).toEqual(
      size,
    )
    const bits = (1200 - 1) | ((700 - 1) << 14)
    expect(
      readPictureHeader(
        riff('VP8L', pad([0, 0, 0, 0, 0x2f, bits & 255, (bits >> 8) & 255, (bits >> 16) & 255, bits >>> 24])),
        'a',
      ),
    ).toEqual(size)
    expect(
      readPictureHeader(riff('VP8 ', pad([0, 0, 0, 0, 0, 0, 0, 0x9d, 1, 0x2a, 176, 4, 188, 2])), 'a'),
    ).toEqual(size)
  })
  it('a picture as ffmpeg writes it, in each kind', () => {
    const folder = mkdtempSync(join(tmpdir(), 'takeloft-picture-'))
    try {
      for (const [name, type] of [
        ['a.png', 'png'],
        ['a.jpg', 'jpeg'],
        ['a.webp', 'webp'],
      ]) {
        const path = join(folder, name)
        try {
          execFileSync('ffmpeg', [
            '-v',
            'error',
            '-f',
            'lavfi',
            '-i',
            'color=red:s=642x346',
            '-frames:v',
            '1',
            path,
          ])
        } catch (error) {
          if (name === 'a.webp') continue
          throw error
        }
        expect(readPictureHeader(readFileSync(path), name)).toEqual({ type, width: 642, height: 346 })
      }
    } finally {
      rmSync(folder, { recursive: true })
    }
  })
})

describe('a picture is refused in a sentence', () => {
  it.each([
    ['text', bytes('20,0\n1000,1'), 'not a picture that can be traced'],
    ['nothing', new Uint8Array(0), 'not a picture'],
    ['more than 50 megapixels', png(10_000, 5001), '10000 by 5001 pixels'],
    ['a PNG without a size', bytes('\x89PNG\r\n\x1a\n', [0, 0]), 'damaged'],
    ['a JPEG that ends early', bytes([0xff, 0xd8, 0xff, 0xe0, 0, 4]), 'damaged'],
    ['a PNG of no width', png(0, 10), 'damaged'],
  ])('%s', (_name, content, sentence) => {
    expect(() => readPictureHeader(content, 'plot.png')).toThrow(sentence)
  })
})

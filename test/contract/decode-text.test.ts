// Text in the encodings that programs write; the bytes are those of Node's own encoders.

import { describe, expect, it } from 'vitest'
import { decodeText } from '../../app/contract/text/decode-text.ts'

const TEXT = 'Frequency (Hz)\tPhase (°)\r\n20\t-3,5\r\n1000\t0\r\n'
const little = Buffer.from(TEXT, 'utf16le')
const big = Buffer.from(little).swap16()
const mark = Buffer.from([0xff, 0xfe])

describe('text', () => {
  it.each<[string, Uint8Array]>([
    ['UTF-8', Buffer.from(TEXT)],
    ['UTF-8 with a byte order mark', Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(TEXT)])],
    ['UTF-16, little-endian', little],
    ['UTF-16, little-endian with a mark', Buffer.concat([mark, little])],
    ['UTF-16, big-endian', big],
    ['UTF-16, big-endian with a mark', Buffer.concat([Buffer.from(mark).swap16(), big])],
    ['Latin-1', Buffer.from(TEXT, 'latin1')],
  ])('in %s', (_encoding, bytes) => {
    expect(decodeText(Uint8Array.from(bytes))).toBe(TEXT)
  })

  it('in UTF-16 with an odd byte behind it, and of no length', () => {
    expect(decodeText(Uint8Array.from([...big, 0]))).toBe(TEXT)
    expect(decodeText(new Uint8Array(0))).toBe('')
  })

  it('that is none keeps its zeros, so that it can be told', () => {
    expect(decodeText(Uint8Array.from([0x50, 0x4b, 3, 4, 0, 0, 0, 0, 8]))).toContain('\0')
  })
})

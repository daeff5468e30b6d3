// Texts and names of bags, by RFC 8493 (BagIt 1.0).

import { describe, expect, it } from 'vitest'
import { collidingPaths, isPortablePath, isUnsafePath } from '../../app/bag/bag-paths.ts'
import { infoText, manifestText, oxumOf, readInfoText, readManifestText } from '../../app/bag/bag-texts.ts'

const HASH = 'a'.repeat(64)

describe('a manifest', () => {
  it('is written as sha256sum writes it, sorted, and read back', () => {
    const files = [
      { path: 'data/b.wav', sha256: HASH },
      { path: 'data/a.wav', sha256: 'b'.repeat(64) },
    ]
    const text = manifestText(files)
    expect(text).toBe(`${'b'.repeat(64)}  data/a.wav\n${HASH}  data/b.wav\n`)
    expect(readManifestText(text)).toEqual({ files: files.toReversed(), unusable: [] })
  })

  it('is read with any line end and white space (2.1.3), and with upper-case hashes (2.4)', () => {
    const read = readManifestText(`${HASH.toUpperCase()}\tdata/a b.wav\r\n${HASH} data/c.wav`)
    expect(read.files.map(({ path }) => path)).toEqual(['data/a b.wav', 'data/c.wav'])
    expect(read.files[0]?.sha256).toBe(HASH)
  })

  it.each([
    ['an asterisk', `${HASH} *data/a.wav`],
    ['a short hash', `${HASH.slice(1)}  data/a.wav`],
    ['a hash in both cases, which a flipped bit gives', `A${HASH.slice(1)}  data/a.wav`],
    ['no path', HASH],
    ['a way out', `${HASH}  data/../../a.wav`],
    ['a root', `${HASH}  /data/a.wav`],
    ['a home', `${HASH}  ~/a.wav`],
    ['a drive', `${HASH}  C:/a.wav`],
    ['a backslash', `${HASH}  data\\a.wav`],
    ['percent-encoding (5.1.3)', `${HASH}  data/a%0Ab.wav`],
    ['a NUL', `${HASH}  data/a\0.wav`],
  ])('with %s has an unusable line', (_, line) => {
    expect(readManifestText(line)).toEqual({ files: [], unusable: [line] })
  })

  it('lists a path once', () => {
    const line = `${HASH}  data/a.wav`
    expect(readManifestText(`${line}\n${line}\n`).unusable).toEqual([line])
  })
})

it('bag-info.txt: line breaks become spaces, folded lines are joined (2.2.2)', () => {
  expect(infoText([['Source-Organization', 'A\nB']])).toBe('Source-Organization: A B\n')
  expect(readInfoText('Source-Organization: A\n  B\nPayload-Oxum: 12.1\n')).toEqual([
    ['Source-Organization', 'A B'],
    ['Payload-Oxum', '12.1'],
  ])
  // The example of 2.2.2.
  expect(
    oxumOf([{ sizeBytes: 279_164_409_800 }, { sizeBytes: 32 }, ...Array(1196).fill({ sizeBytes: 0 })]),
  ).toBe('279164409832.1198')
})

it('names that are written are portable; those that disks take for one another are found', () => {
  expect(['data/takes/0a1b_Lead.wav', 'takeloft/README.txt'].every(isPortablePath)).toBe(true)
  const bad = [
    'data/é.wav',
    'data/100%.wav',
    'data/a b.wav',
    'data/con.wav',
    'data/.x',
    'data/x.',
    'data/-x',
    '../x',
  ]
  expect(bad.filter(isPortablePath)).toEqual([])
  expect(['data/é.wav', 'a/b'].some(isUnsafePath)).toBe(false)
  expect(collidingPaths(['data/Lead.wav', 'data/LEAD.wav', 'data/\u00e9', 'data/e\u0301', 'data/x'])).toEqual(
    ['data/LEAD.wav', 'data/e\u0301'],
  )
})

// Nothing that exists is replaced, in whatever disguise it comes, and what is not ours is not removed.

import {
  existsSync,
  linkSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createWaveWriter } from '../../app/audio/wave/wave-writer.ts'
import { createFileInside, createNewFile, createPrivateFile } from '../../app/files/new-file.ts'
import { createNewFolder } from '../../app/files/new-folder.ts'
import { replaceOwnFile, writeNewFile } from '../../app/files/write-file.ts'
import { makeFolder } from '../audio/outside-tools.ts'

const root = makeFolder()
let count = 0
const emptyFolder = (): string => {
  const folder = join(root, String(++count))
  mkdirSync(folder)
  return folder
}

const conflict = expect.objectContaining({ code: 'conflict' })

/** Puts something under the name and gives back how to see that it is still as it was. */
const THERE: Readonly<Record<string, (path: string, folder: string) => () => void>> = {
  'a file': (path) => {
    writeFileSync(path, 'take')
    return () => expect(readFileSync(path, 'utf8')).toBe('take')
  },
  'an empty file': (path) => {
    writeFileSync(path, '')
    return () => expect(statSync(path).size).toBe(0)
  },
  'a hard link': (path, folder) => {
    writeFileSync(join(folder, 'take.wav'), 'take')
    linkSync(join(folder, 'take.wav'), path)
    return () => {
      expect(readFileSync(join(folder, 'take.wav'), 'utf8')).toBe('take')
      expect(statSync(path).ino).toBe(statSync(join(folder, 'take.wav')).ino)
    }
  },
  'a link to a file': (path, folder) => {
    writeFileSync(join(folder, 'take.wav'), 'take')
    symlinkSync('take.wav', path)
    return () => {
      expect(lstatSync(path).isSymbolicLink()).toBe(true)
      expect(readFileSync(join(folder, 'take.wav'), 'utf8')).toBe('take')
    }
  },
  'a link to nothing': (path, folder) => {
    symlinkSync('nowhere.wav', path)
    return () => {
      expect(lstatSync(path).isSymbolicLink()).toBe(true)
      expect(existsSync(join(folder, 'nowhere.wav'))).toBe(false)
    }
  },
  'a folder': (path) => {
    mkdirSync(path)
    return () => expect(statSync(path).isDirectory()).toBe(true)
  },
}

describe.each(Object.entries(THERE))('%s under the name', (_what, put) => {
  it('before the file is begun: refused at the end, nothing left', () => {
    const folder = emptyFolder()
    const path = join(folder, 'OUT.wav')
    const isAsItWas = put(path, folder)
    const names = readdirSync(folder)
    expect(() => writeNewFile(path, 'new')).toThrow(conflict)
    isAsItWas()
    expect(readdirSync(folder)).toEqual(names)
  })

  it('that comes while the file is written: refused at the end, nothing left', () => {
    const folder = emptyFolder()
    const path = join(folder, 'OUT.wav')
    const file = createNewFile(path)
    file.write(Buffer.from('new'), 0)
    const isAsItWas = put(path, folder)
    expect(() => file.commit()).toThrow(conflict)
    isAsItWas()
    expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([])
  })

  it('inside an unfinished folder: refused at once, and not removed', () => {
    const folder = emptyFolder()
    const path = join(folder, 'OUT.wav')
    const isAsItWas = put(path, folder)
    expect(() => createFileInside(path)).toThrow(conflict)
    isAsItWas()
  })

  it('`.part` behind the name is nobody’s business', () => {
    const folder = emptyFolder()
    const isAsItWas = put(join(folder, 'OUT.wav.part'), folder)
    writeNewFile(join(folder, 'OUT.wav'), 'new')
    isAsItWas()
    expect(readFileSync(join(folder, 'OUT.wav'), 'utf8')).toBe('new')
  })

  it.each(['before', 'meanwhile'])(
    'a folder is to have (%s): refused unless it is an empty folder',
    (when) => {
      const folder = emptyFolder()
      const path = join(folder, 'OUT.wav')
      let isAsItWas = when === 'before' ? put(path, folder) : () => {}
      const fresh = createNewFolder(folder)
      writeNewFile(join(fresh.path, 'stem.wav'), 'stem', createFileInside)
      if (when === 'meanwhile') isAsItWas = put(path, folder)
      if (lstatSync(path).isDirectory()) {
        fresh.commit(path)
        expect(readdirSync(path)).toEqual(['stem.wav'])
        return
      }
      expect(() => fresh.commit(path)).toThrow(conflict)
      isAsItWas()
      fresh.discard()
      expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([])
    },
  )
})

describe('a replacement of an own file', () => {
  const isOwn = (head: Uint8Array): boolean => Buffer.from(head).toString('latin1', 0, 4) === 'OWN1'

  it('replaces an own one, an empty one, and nothing', () => {
    const path = join(emptyFolder(), 'own')
    for (const before of [null, '', 'OWN1 old']) {
      if (before !== null) writeFileSync(path, before)
      replaceOwnFile(path, 'OWN1 new', isOwn)
      expect(readFileSync(path, 'utf8')).toBe('OWN1 new')
    }
  })

  it.each(Object.entries(THERE).filter(([what]) => what !== 'an empty file'))(
    'leaves %s as it was',
    (_what, put) => {
      const folder = emptyFolder()
      const isAsItWas = put(join(folder, 'own'), folder)
      expect(() => replaceOwnFile(join(folder, 'own'), 'OWN1 new', isOwn)).toThrow(conflict)
      isAsItWas()
      expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([])
    },
  )
})

describe('a file under way', () => {
  const options = { sampleRateHz: 48000, channels: 1, encoding: 'pcm-24', ditherSeed: null } as const

  it('is seen by nobody under its name', () => {
    const folder = emptyFolder()
    const file = createNewFile(join(folder, 'a'))
    file.write(Buffer.from('half'), 0)
    expect(existsSync(join(folder, 'a'))).toBe(false)
    file.discard()
    expect(readdirSync(folder)).toEqual([])
  })

  it('has a name that fits even where its own is as long as names may be', () => {
    const folder = emptyFolder()
    writeNewFile(join(folder, 'n'.repeat(255)), 'whole')
    expect(readdirSync(folder)).toEqual(['n'.repeat(255)])
  })

  it('two of one name do not disturb each other: the first to be whole gets it', () => {
    const folder = emptyFolder()
    const first = createWaveWriter(join(folder, 'a.wav'), options)
    const second = createWaveWriter(join(folder, 'a.wav'), options)
    second.write([new Float64Array(10)], 10)
    second.finish()
    const size = statSync(join(folder, 'a.wav')).size
    expect(() => first.finish()).toThrow(conflict)
    expect(readdirSync(folder)).toEqual(['a.wav'])
    expect(statSync(join(folder, 'a.wav')).size).toBe(size)
  })

  it('that has ended is not written on', () => {
    const folder = emptyFolder()
    const ended = createWaveWriter(join(folder, 'a.wav'), options)
    ended.abort()
    ended.abort()
    expect(() => ended.finish()).toThrow('already finished')
    expect(readdirSync(folder)).toEqual([])
  })

  it('is its user’s alone where it is private', () => {
    const path = join(emptyFolder(), 'upload.wav')
    writeNewFile(path, 'take', createPrivateFile)
    expect(statSync(path).mode & 0o077).toBe(0)
  })
})

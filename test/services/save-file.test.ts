// A text is saved where the user says, over an ordinary file too, but never over a take in any
// disguise, over what belongs to the catalogue, or through a link.

import { execFile } from 'node:child_process'
import {
  chmodSync,
  copyFileSync,
  existsSync,
  linkSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { describe, expect, it } from 'vitest'
import { identityOf } from '../../app/files/file-identity.ts'
import { replaceAgreedFile } from '../../app/files/write-file.ts'
import { saveFile } from '../../app/services/save-file.ts'
import { PINNED_NODE } from '../hosts/run-takeloft.ts'
import { whiteNoise } from '../signals/noise.ts'
import { openWorkshop, type Workshop, writeTake } from './workshop.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))

const TEXT = '{"format":"takeloft-chain"}\n'

function withDesk(): Workshop & { desk: string } {
  const workshop = openWorkshop()
  const desk = join(workshop.folder, 'desk')
  mkdirSync(desk)
  return { ...workshop, desk }
}

async function withTake(): Promise<
  Pick<Workshop, 'workplace' | 'tampered'> & { take: string; desk: string }
> {
  const { workplace, tampered, desk, takeIn, createSession } = withDesk()
  const take = join(desk, 'lead.wav')
  writeTake(take, [whiteNoise(24_000, 5)])
  await takeIn(await createSession(), take)
  return { workplace, tampered, take, desk }
}

describe('a text', () => {
  it('is written under a name that nothing has', async () => {
    const { workplace, desk } = withDesk()
    await saveFile(workplace, join(desk, 'Lead.chain.json'), TEXT)
    expect(readFileSync(join(desk, 'Lead.chain.json'), 'utf8')).toBe(TEXT)
    expect(readdirSync(desk).sort()).toEqual(['Lead.chain.json'])
  })

  it('takes the place of an ordinary file, which keeps its permissions', async () => {
    const { workplace, desk } = withDesk()
    const path = join(desk, 'Lead.chain.json')
    writeFileSync(path, 'an earlier chain', { mode: 0o640 })
    await saveFile(workplace, path, TEXT)
    expect(readFileSync(path, 'utf8')).toBe(TEXT)
    expect(statSync(path).mode & 0o777).toBe(0o640)
    expect(readdirSync(desk).sort()).toEqual(['Lead.chain.json'])
  })

  it('leaves the bytes under another name of the file that it replaces', async () => {
    const { workplace, desk } = withDesk()
    writeFileSync(join(desk, 'old.json'), 'an earlier chain')
    linkSync(join(desk, 'old.json'), join(desk, 'Lead.chain.json'))
    await saveFile(workplace, join(desk, 'Lead.chain.json'), TEXT)
    expect(readFileSync(join(desk, 'old.json'), 'utf8')).toBe('an earlier chain')
  })
})

/** Each gives the path that is asked for, which is a take under another name. */
const DISGUISES: Readonly<Record<string, (desk: string, take: string) => string>> = {
  'its own name': (_desk, take) => take,
  'a hard link': (desk, take) => {
    linkSync(take, join(desk, 'Lead.chain.json'))
    return join(desk, 'Lead.chain.json')
  },
  'a link': (desk, take) => {
    symlinkSync(take, join(desk, 'Lead.chain.json'))
    return join(desk, 'Lead.chain.json')
  },
  'a linked folder': (desk) => {
    symlinkSync(desk, `${desk}-too`)
    return join(`${desk}-too`, 'lead.wav')
  },
  'a copy of its bytes': (desk, take) => {
    copyFileSync(take, join(desk, 'Lead.chain.json'))
    return join(desk, 'Lead.chain.json')
  },
  'its own name, with other bytes by now': (_desk, take) => {
    writeFileSync(take, 'what somebody wrote over it')
    return take
  },
  'a hard link, with other bytes by now': (desk, take) => {
    linkSync(take, join(desk, 'Lead.chain.json'))
    writeFileSync(take, 'what somebody wrote over it')
    return join(desk, 'Lead.chain.json')
  },
}

describe.each(Object.entries(DISGUISES))('a take under %s', (what, disguise) => {
  it('is refused and stays as it was', async () => {
    const { workplace, desk, take, tampered } = await withTake()
    if (what.endsWith('with other bytes by now')) tampered.add(take)
    const path = disguise(desk, take)
    const before = readFileSync(path)
    const names = readdirSync(desk)
    await expect(saveFile(workplace, path, TEXT)).rejects.toMatchObject({
      code: 'conflict',
      message: expect.stringMatching(/; choose another name\.$/),
    })
    expect(readFileSync(path).equals(before)).toBe(true)
    expect(readdirSync(desk)).toEqual(names)
  })
})

describe('what belongs to the program', () => {
  it.each([
    'catalogue.sqlite',
    'catalogue.sqlite-wal',
    'CATALOGUE.sqlite-shm',
    'catalogue.sqlite-journal',
    'catalogue.sqlite.before-2',
    'catalogue.sqlite.before-19-3-WAL',
    'peaks/x.json',
    'working copies/x.json',
    'pictures/x.json',
    'incoming/deep/down/x.json',
    'bounces/x.json',
  ])('is refused: %s', async (name) => {
    const { workplace, folder } = withDesk()
    for (const made of ['pictures', 'incoming/deep/down', 'bounces']) {
      mkdirSync(join(folder, made), { recursive: true })
    }
    const path = join(folder, name)
    const before = existsSync(path) ? readFileSync(path) : null
    await expect(saveFile(workplace, path, TEXT)).rejects.toMatchObject({ code: 'conflict' })
    expect(existsSync(path) ? readFileSync(path) : null).toEqual(before)
  })

  it('is refused through a link to its folder, and in a folder that a host names', async () => {
    const { workplace, folder, desk } = withDesk()
    symlinkSync(join(folder, 'peaks'), join(desk, 'short way'))
    await expect(saveFile(workplace, join(desk, 'short way', 'x.json'), TEXT)).rejects.toMatchObject({
      code: 'conflict',
    })
    await expect(saveFile(workplace, join(desk, 'x.json'), TEXT, [desk])).rejects.toMatchObject({
      code: 'conflict',
    })
    expect(readdirSync(join(folder, 'peaks'))).not.toContain('x.json')
  })

  it('is refused inside a delivery, also below a link into it', async () => {
    const { workplace, desk } = withDesk()
    const delivery = join(desk, 'delivery')
    mkdirSync(join(delivery, 'deeper'), { recursive: true })
    writeFileSync(join(delivery, 'manifest.json'), '{"format":"takeloft-bounce"}')
    symlinkSync(join(delivery, 'deeper'), join(desk, 'short way'))
    for (const path of [join(delivery, 'x.json'), join(desk, 'short way', 'x.json')]) {
      await expect(saveFile(workplace, path, TEXT), path).rejects.toMatchObject({
        code: 'conflict',
        message: expect.stringContaining('delivery'),
      })
    }
  })
})

describe('what only begins like the catalogue', () => {
  it.each([
    'catalogue.sqlite.zip',
    'catalogue.sqlite.json',
    'catalogue.sqlite-wal.zip',
    'catalogue.sqlite.before',
  ])('is written: %s', async (name) => {
    const { workplace, folder } = withDesk()
    await saveFile(workplace, join(folder, name), TEXT)
    expect(readFileSync(join(folder, name), 'utf8')).toBe(TEXT)
  })
})

describe('what is no ordinary file', () => {
  it('is left as it is: a folder, a link to nothing, a link to an ordinary file', async () => {
    const { workplace, desk } = withDesk()
    mkdirSync(join(desk, 'folder'))
    symlinkSync('nowhere', join(desk, 'to nothing'))
    writeFileSync(join(desk, 'note.txt'), 'note')
    symlinkSync('note.txt', join(desk, 'to a note'))
    for (const name of ['folder', 'to nothing', 'to a note']) {
      await expect(saveFile(workplace, join(desk, name), TEXT), name).rejects.toMatchObject({
        code: 'conflict',
      })
    }
    expect(readFileSync(join(desk, 'note.txt'), 'utf8')).toBe('note')
    expect(existsSync(join(desk, 'nowhere'))).toBe(false)
  })
})

describe('a file that the user has agreed to replace', () => {
  const OTHER: Readonly<Record<string, (path: string) => void>> = {
    'was written to': (path) => writeFileSync(path, 'longer than it was'),
    'got other bytes of the same length': (path) => {
      writeFileSync(path, 'BEFORE')
      utimesSync(path, 1, 2)
    },
    'is another file by now': (path) => {
      writeFileSync(`${path}.new`, 'before')
      const { atime, mtime } = statSync(path)
      utimesSync(`${path}.new`, atime, mtime)
      renameSync(`${path}.new`, path)
    },
    'is gone': (path) => rmSync(path),
    'is a link by now': (path) => {
      renameSync(path, `${path}.old`)
      symlinkSync(`${path}.old`, path)
    },
  }
  it.each(Object.entries(OTHER))('is left as it is where it %s', async (_what, change) => {
    const { desk } = withDesk()
    const path = join(desk, 'note.txt')
    writeFileSync(path, 'before')
    const agreed = identityOf(path)
    change(path)
    const textNow = (): string | null => (existsSync(path) ? readFileSync(path, 'utf8') : null)
    const now = textNow()
    expect(() => replaceAgreedFile(path, TEXT, agreed)).toThrow(expect.objectContaining({ code: 'conflict' }))
    expect(textNow()).toBe(now)
    expect(readdirSync(desk).filter((name) => name.startsWith('.'))).toEqual([])
  })

  it('is left as it is where it is read-only', async () => {
    const { folder, desk } = withDesk()
    const path = join(desk, 'note.txt')
    writeFileSync(path, 'before')
    chmodSync(path, 0o444)
    // A user who may write in the folder and not in the file; the superuser may do both.
    for (const one of [folder, desk]) chmodSync(one, 0o777)
    const script = `
      if (process.getuid() === 0) process.setuid('nobody')
      const { identityOf } = await import('./app/files/file-identity.ts')
      const { replaceAgreedFile } = await import('./app/files/write-file.ts')
      const path = ${JSON.stringify(path)}
      try { replaceAgreedFile(path, 'new', identityOf(path)) } catch (error) { console.log(error.code) }`
    const { stdout } = await promisify(execFile)(PINNED_NODE, ['--input-type=module', '--eval', script], {
      cwd: ROOT,
    })
    expect(stdout).toBe('not-writable\n')
    expect(readFileSync(path, 'utf8')).toBe('before')
  })
})

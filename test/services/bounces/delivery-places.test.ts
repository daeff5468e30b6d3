// Where a delivery goes when the folder that was chosen, or the one around it, takes no new folder.

import { mkdirSync, mkdtempSync, readdirSync, writeFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { beforeEach, expect, it, vi } from 'vitest'
import { MANIFEST_FORMAT } from '../../../app/contract/manifest.ts'
import { startDelivery } from '../../../app/services/bounces/delivery-folder.ts'
import { makeFolder } from '../../audio/outside-tools.ts'

const refused = vi.hoisted(() => ({ parent: '', code: '' }))
vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>()
  const mkdir = (path: string, options: object): unknown => {
    if (dirname(path) === refused.parent && basename(path).startsWith('.takeloft-')) {
      throw Object.assign(new Error(`${refused.code}: made to fail`), { code: refused.code })
    }
    return fs.mkdirSync(path, options)
  }
  return { ...fs, mkdirSync: mkdir }
})

const root = makeFolder()
let target: string
beforeEach(() => {
  refused.parent = ''
  target = join(mkdtempSync(join(root, 'case-')), 'out')
  mkdirSync(target)
  writeFileSync(join(target, 'notes.txt'), 'mine')
})

it.each(['EACCES', 'EPERM', 'EROFS'])('inside the folder where the one around it gives %s', (code) => {
  Object.assign(refused, { parent: dirname(target), code })
  const delivery = startDelivery(target, 'Song')
  expect(delivery.commit()).toBe(join(target, 'Song'))
})

it.each(['EIO', 'ENOSPC', 'EMFILE'])('nowhere after %s, which may be over a moment later', (code) => {
  Object.assign(refused, { parent: dirname(target), code })
  expect(() => startDelivery(target, 'Song')).toThrow(expect.objectContaining({ name: 'Failure' }))
  expect(readdirSync(target)).toEqual(['notes.txt'])
})

it('never inside a delivery, which stays as it was delivered', () => {
  writeFileSync(join(target, 'manifest.json'), JSON.stringify({ format: MANIFEST_FORMAT }))
  Object.assign(refused, { parent: dirname(target), code: 'EACCES' })
  expect(() => startDelivery(target, 'Song')).toThrow(/is a delivery, which must stay as it was delivered/)
  expect(readdirSync(target).sort()).toEqual(['manifest.json', 'notes.txt'])
})

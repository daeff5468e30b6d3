// A program that is killed in the middle of a bounce leaves no stem under its name, loses
// nothing that was saved, and the next bounce sweeps up after it.

import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { bounceSession } from '../../../app/services/bounces/bounce.ts'
import { buildDemo } from '../../../app/services/demo/build-demo.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { openCatalogue } from '../../../db/catalogue.ts'
import { checkTakesUnharmed } from '../../unharmed-takes.ts'
import { context } from '../workshop.ts'

const LAUNCHER = join(import.meta.dirname, '../../../app/hosts/command-line/takeloft.mjs')

it('killed in mid-render: no stem, no manifest, and a later bounce is whole', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-killed-'))
  try {
    const catalogue = join(folder, 'catalogue.sqlite')
    const out = join(folder, 'stems')
    const workplace = openWorkplace(catalogue)
    const [sessionId] = await buildDemo(workplace, context)
    await workplace.close()

    const child = spawn(process.execPath, [
      ...[LAUNCHER, 'bounce', '--catalogue', catalogue, '--session', String(sessionId), '--out', out],
    ])
    // As soon as stems are under way it is killed, without a chance to tidy up.
    const unfinished = (): string[] => readdirSync(folder).filter((name) => name.startsWith('.takeloft-'))
    const isRendering = (): boolean =>
      unfinished().some((name) => readdirSync(join(folder, name)).some((file) => file.endsWith('.wav')))
    await expect.poll(isRendering, { timeout: 30_000, interval: 5 }).toBe(true)
    child.kill('SIGKILL')
    await new Promise((resolve) => child.once('exit', resolve))
    expect(existsSync(out)).toBe(false)
    expect(unfinished()).toHaveLength(1)

    const after = openWorkplace(catalogue)
    expect(unfinished()).toEqual([])
    const outcome = await bounceSession(
      after,
      { sessionId, folder: out, encoding: 'pcm-24', layerStems: false },
      context,
    )
    await after.close()
    expect(readdirSync(out).sort()).toEqual(
      [...outcome.stems.map(({ path }) => path.slice(out.length + 1)), 'manifest.json'].sort(),
    )
    const kept = openCatalogue(catalogue)
    expect(kept.layers.listOfSession(sessionId)).toHaveLength(4)
    expect(kept.bounces.list({ sessionId })).toHaveLength(1)
    checkTakesUnharmed(kept.path)
    kept.close()
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
})

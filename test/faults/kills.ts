// Kills at random times in import, bounce and save, each followed by everything that must hold.

import { spawn } from 'node:child_process'
import { cpSync, rmSync } from 'node:fs'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { PINNED_NODE } from '../hosts/run-takeloft.ts'
import { type ActName, before, environmentOf, harmAfter, leftovers, run, wordsOf } from './tried.ts'

const ACTS: readonly ActName[] = ['import', 'bounce', 'save']

/** @returns what did not hold */
export async function killAtRandom(count: number, template: string, root: string): Promise<string[]> {
  const random = createRandom(Date.now() % 2 ** 31)
  const wrong: string[] = []
  const counts: Record<string, { kills: number; ended: number; acknowledged: number }> = {}
  for (let n = 0; n < count; n++) {
    const act = ACTS[n % ACTS.length]
    rmSync(root, { recursive: true, force: true })
    cpSync(template, root, { recursive: true, preserveTimestamps: true })
    const was = before(root)
    // The program takes some 0.3 s to start and ends within 2 s.
    const killed = await killAfter(200 + 1500 * random.uniform(), act, root)
    counts[act] ??= { kills: 0, ended: 0, acknowledged: 0 }
    const tally = counts[act]
    tally[killed.signal === 'SIGKILL' ? 'kills' : 'ended']++
    tally.acknowledged += killed.said.length
    const found = harmAfter(act, root, was, killed.said)
    const again = run(act, root, null, null)
    if (again.status !== 0) found.push(`the next run failed (${again.status}): ${again.stderr.trim()}`)
    found.push(...harmAfter(act, root, was, again.said), ...leftovers(root).map((path) => `left: ${path}`))
    for (const what of found) console.log(`WRONG  kill ${n}, ${act}: ${what}`)
    wrong.push(...found)
  }
  for (const [act, { kills, ended, acknowledged }] of Object.entries(counts)) {
    console.log(
      `${act.padEnd(8)} ${kills} kills, ${ended} came to their end before; ${acknowledged} acknowledged and there`,
    )
  }
  return wrong
}

function killAfter(
  milliseconds: number,
  act: ActName,
  root: string,
): Promise<{ signal: string | null; said: readonly string[] }> {
  return new Promise((resolve) => {
    const child = spawn(PINNED_NODE, wordsOf(act, root), {
      env: environmentOf(root),
      stdio: ['ignore', 'pipe', 'ignore'],
    })
    let text = ''
    child.stdout.on('data', (part: Buffer) => {
      text += part.toString()
    })
    const timer = setTimeout(() => child.kill('SIGKILL'), milliseconds)
    child.on('close', (_status, signal) => {
      clearTimeout(timer)
      // What was cut off in the middle was not acknowledged.
      const lines = text.split('\n').slice(0, -1)
      resolve({ signal, said: act === 'bounce' ? [] : lines })
    })
  })
}

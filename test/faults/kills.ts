// Kills at random times in import, bounce and save, each followed by everything that must hold.

import { spawn } from 'node:child_process'
import { cpSync, rmSync } from 'node:fs'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { PINNED_NODE } from '../hosts/run-takeloft.ts'
import { type ActName, before, environmentOf, harmAfter, leftovers, run, wordsOf } from './tried.ts'

const ACTS: readonly ActName[] = ['import', 'bounce', 'save']

interface Tally {
  kills: number
  ended: number
  acknowledged: number
}

/**
 * Kills each act in turn until `count` runs were killed in the middle; a run that ended before
 * its kill is checked all the same and counts for nothing.
 * @returns what did not hold
 */
export async function killAtRandom(count: number, template: string, root: string): Promise<string[]> {
  const random = createRandom(Date.now() % 2 ** 31)
  const wrong: string[] = []
  const tallies = {} as Record<ActName, Tally>
  const lasts = {} as Record<ActName, number>
  for (const act of ACTS) {
    tallies[act] = { kills: 0, ended: 0, acknowledged: 0 }
    renew(template, root)
    const began = performance.now()
    run(act, root, null, null)
    lasts[act] = performance.now() - began
  }
  let kills = 0
  for (let tried = 0; kills < count && tried < 5 * count; tried++) {
    const act = ACTS[tried % ACTS.length]
    renew(template, root)
    const was = before(root)
    const killed = await killAfter(lasts[act] * (0.1 + 0.9 * random.uniform()), act, root)
    const tally = tallies[act]
    if (killed.signal === 'SIGKILL') {
      tally.kills++
      kills++
    } else tally.ended++
    tally.acknowledged += killed.said.length
    const found = harmAfter(act, root, was, killed.said)
    const again = run(act, root, null, null)
    if (again.status !== 0) found.push(`the next run failed (${again.status}): ${again.stderr.trim()}`)
    found.push(...harmAfter(act, root, was, again.said), ...leftovers(root).map((path) => `left: ${path}`))
    for (const what of found) console.log(`WRONG  kill ${kills}, ${act}: ${what}`)
    wrong.push(...found)
  }
  for (const act of ACTS) {
    const { kills, ended, acknowledged } = tallies[act]
    console.log(
      `${act.padEnd(8)} ${kills} kills, ${ended} ended before; ${acknowledged} acknowledged and there`,
    )
  }
  if (kills < count) wrong.push(`only ${kills} of ${count} kills met a run in the middle`)
  return wrong
}

function renew(template: string, root: string): void {
  rmSync(root, { recursive: true, force: true })
  cpSync(template, root, { recursive: true, preserveTimestamps: true })
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

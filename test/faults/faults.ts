// `npm run faults`: every call on the disk in import, bounce, deliver, save, migrate, process and demo fails
// in turn, once and from then on, is cut short, and is the last thing the program does. Prints what
// was tried, and what did not hold.
//
//   npm run faults                        every call (demo: every tenth)
//   npm run faults -- --every 12          every twelfth call, with another kind of fault each time
//   npm run faults -- --every 12 --all-kinds   every twelfth call, with every kind of fault
//   npm run faults -- --acts save,bounce  these acts alone
//   npm run faults -- --kills 200         instead: kills at random times

import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { killAtRandom } from './kills.ts'
import { compileShim } from './shim.ts'
import { makeTemplate } from './template.ts'
import { type ActName, type Fault, NO_FAULT, run, tryFault } from './tried.ts'

const ENOSPC = 28
const EIO = 5
const KINDS: readonly Omit<Fault, 'at'>[] = [
  { mode: 'once', errno: ENOSPC },
  { mode: 'on', errno: ENOSPC },
  { mode: 'once', errno: EIO },
  { mode: 'on', errno: EIO },
  { mode: 'short', errno: 0 },
  { mode: 'kill', errno: 0 },
]
/** The demo takes seconds each time. */
const DEMO_STEP = 10
const ALL_ACTS: readonly ActName[] = ['import', 'save', 'migrate', 'bounce', 'deliver', 'process', 'demo']

const { values } = parseArgs({
  options: {
    every: { type: 'string', default: '1' },
    'all-kinds': { type: 'boolean', default: false },
    acts: { type: 'string', default: ALL_ACTS.join(',') },
    kills: { type: 'string' },
  },
})

const folder = mkdtempSync(join(tmpdir(), 'takeloft-faults-'))
try {
  const template = join(folder, 'template')
  await makeTemplate(template)
  const shim = compileShim(folder)
  const wrong =
    values.kills === undefined
      ? tryAll(values.acts.split(',') as ActName[], Number(values.every), template, shim)
      : await killAtRandom(Number(values.kills), template, join(folder, 'case'))
  console.log(wrong.length === 0 ? 'All held.' : `${wrong.length} did not hold.`)
  process.exitCode = wrong.length === 0 ? 0 : 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}

function tryAll(acts: readonly ActName[], every: number, template: string, shim: string): string[] {
  const root = join(folder, 'case')
  return acts.flatMap((act) => {
    const source = act === 'demo' ? withDemoTakes(template, shim) : template
    // Once without a fault, to learn how many calls there are.
    const { calls, wrong } = tryFault(act, source, root, shim, NO_FAULT)
    const found = wrong.map((what) => `${act} without a fault: ${what}`)
    for (const what of found) console.log(`WRONG  ${what}`)
    const step = every === 1 && act === 'demo' ? DEMO_STEP : every
    let tried = 0
    for (let at = 1; at <= calls; at += step) {
      const kinds = every === 1 || values['all-kinds'] ? KINDS : [KINDS[tried % KINDS.length]]
      for (const kind of kinds) {
        tried++
        const fault = { ...kind, at }
        for (const what of tryFault(act, source, root, shim, fault).wrong) {
          found.push(`${act}, call ${at} of ${calls}, ${kind.mode} ${kind.errno}: ${what}`)
          console.log(`WRONG  ${found.at(-1)}`)
        }
      }
    }
    console.log(`${act.padEnd(8)} ${calls} calls, ${tried} faults tried, ${found.length} did not hold`)
    return found
  })
}

/** The template with the demo's takes, which take longer to generate than all else. */
function withDemoTakes(template: string, shim: string): string {
  const source = join(folder, 'template-of-demo')
  const generated = join(folder, 'generated')
  cpSync(template, generated, { recursive: true })
  run('demo', generated, shim, NO_FAULT)
  cpSync(template, source, { recursive: true, preserveTimestamps: true })
  cpSync(join(generated, 'demo/takes'), join(source, 'demo/takes'), { recursive: true })
  return source
}

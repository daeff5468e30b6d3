// From a CPU profile to the time that each function took itself.

import type { Profiler } from 'node:inspector'
import { relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import { ROOT } from './places.ts'

export interface SelfTime {
  readonly name: string
  readonly place: string
  readonly selfMs: number
  readonly percent: number
}

type Node = Profiler.ProfileNode

/**
 * Busy time only, most first.
 * @param kernelNames name of each WebAssembly function by its index
 */
export function selfTimes(
  { nodes, samples = [], timeDeltas = [] }: Profiler.Profile,
  kernelNames: ReadonlyMap<string, string>,
): SelfTime[] {
  const byId = new Map(nodes.map((node) => [node.id, node]))
  const microseconds = new Map<string, number>()
  let busy = 0
  for (const [k, id] of samples.entries()) {
    const node = byId.get(id)
    if (node === undefined || node.callFrame.functionName === '(idle)') continue
    const key = JSON.stringify(nameAndPlace(calledThrough(node, byId), kernelNames))
    // A delta is the time since the sample before, so what follows a sample is its own.
    const spent = Math.max(0, timeDeltas[k + 1] ?? 0)
    microseconds.set(key, (microseconds.get(key) ?? 0) + spent)
    busy += spent
  }
  return [...microseconds]
    .sort(([, a], [, b]) => b - a)
    .map(([key, spent]) => {
      const [name, place] = JSON.parse(key) as [string, string]
      return { name, place, selfMs: spent / 1000, percent: (100 * spent) / busy }
    })
}

/**
 * Once a WebAssembly function has been compiled again, faster, the profiler sees only the
 * way in to it; where that leads to one function, the time is that function's.
 */
function calledThrough(node: Node, byId: ReadonlyMap<number, Node>): Node {
  if (!node.callFrame.functionName.startsWith('js-to-wasm') || node.children?.length !== 1) return node
  return byId.get(node.children[0]) ?? node
}

function nameAndPlace(
  { callFrame: { functionName, url, lineNumber } }: Node,
  kernelNames: ReadonlyMap<string, string>,
): readonly [string, string] {
  if (url.startsWith('wasm:')) {
    const index = /^wasm-function\[(\d+)\]$/.exec(functionName)
    return [(index && kernelNames.get(index[1])) ?? functionName, 'WebAssembly']
  }
  const name = functionName || '(anonymous)'
  return [name, url.startsWith('file:') ? `${relative(ROOT, fileURLToPath(url))}:${lineNumber + 1}` : url]
}

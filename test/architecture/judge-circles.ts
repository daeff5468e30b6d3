// Circles: files of the program that import each other, directly or through others, and folders of the
// window that do. Imports of types count as well: who cannot be read without the other cannot be moved
// or understood without it either.

import { posix } from 'node:path'
import type { Refusal } from './judge-imports.ts'
import { readImports } from './read-imports.ts'

/** What each file or folder imports, by path from the top of the tree. */
type Graph = ReadonlyMap<string, ReadonlySet<string>>

/** Rooms where a folder is a room of its own, down to the last one. */
const FOLDERS_IN = 'renderer/'

/** @param sources of all files, by path from the top of the tree, with forward slashes */
export function judgeCircles(sources: ReadonlyMap<string, string>): Refusal[] {
  const files = fileGraph(sources)
  return [
    ...circlesOf(files).map((circle) => refusal(circle, 'these files import each other')),
    ...circlesOf(folderGraph(files)).map((circle) => refusal(circle, 'these folders import each other')),
  ]
}

const refusal = (circle: readonly string[], why: string): Refusal => ({
  file: circle[0],
  line: 1,
  what: [...circle, circle[0]].join(' → '),
  why: `${why}; move what both need into a third, or turn one import around`,
})

function fileGraph(sources: ReadonlyMap<string, string>): Graph {
  return new Map(
    [...sources].map(([file, source]) => {
      const targets = readImports(file, source).flatMap(({ what }) =>
        what?.startsWith('.') ? [posix.join(posix.dirname(file), what.replace(/\?.*$/, ''))] : [],
      )
      return [file, new Set(targets.filter((target) => sources.has(target)))]
    }),
  )
}

/** The folders' imports, without what a folder imports from itself, and without styles, which know no code. */
function folderGraph(files: Graph): Graph {
  const folders = new Map<string, Set<string>>()
  for (const [file, targets] of files) {
    if (!file.startsWith(FOLDERS_IN)) continue
    const folder = posix.dirname(file)
    const known = folders.get(folder) ?? new Set()
    folders.set(folder, known)
    for (const target of targets) {
      const other = posix.dirname(target)
      if (target.endsWith('.css')) continue
      if (other !== folder && target.startsWith(FOLDERS_IN)) known.add(other)
    }
  }
  return folders
}

/** A shortest circle for each knot of nodes that reach each other, in the order of their names. */
function circlesOf(graph: Graph): string[][] {
  const circles: string[][] = []
  const told = new Set<string>()
  for (const start of [...graph.keys()].sort()) {
    if (told.has(start)) continue
    const circle = shortestCircle(graph, start)
    if (circle === null) continue
    circles.push(circle)
    for (const node of circle) told.add(node)
  }
  return circles
}

/** The nodes of a shortest way from a node back to itself, itself first; null where there is none. */
function shortestCircle(graph: Graph, start: string): string[] | null {
  const cameFrom = new Map<string, string>()
  const queue = [start]
  for (let node = queue.shift(); node !== undefined; node = queue.shift()) {
    for (const next of graph.get(node) ?? []) {
      if (next === start) {
        const way = [node]
        while (way[0] !== start) way.unshift(cameFrom.get(way[0]) ?? start)
        return way
      }
      if (cameFrom.has(next)) continue
      cameFrom.set(next, node)
      queue.push(next)
    }
  }
  return null
}

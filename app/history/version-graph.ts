// Chain versions as a graph: which enter, in which order, and which have nothing made from them.

import { VersionNode, type VersionRecord } from '../contract/exchange/history.ts'
import { compareText } from './states.ts'
import { versionHash } from './version-hash.ts'

/** A version whose hash is right and whose parents are in. */
export interface EnteredVersion {
  readonly sha256: string
  /** Greater than those of its parents, so that it orders by parents whatever the clocks said. */
  readonly number: number
  readonly node: VersionNode
  /** The stages as they were hashed. */
  readonly stages: unknown
}

interface Sound extends VersionRecord {
  readonly read: VersionNode
}

/** Where the versions of a history go. */
export interface SortedVersions {
  /** Parents before children. */
  readonly entered: readonly EnteredVersion[]
  /** Those whose parents are missing, with what is. */
  readonly waiting: readonly { readonly sha256: string; readonly missing: readonly string[] }[]
  /** Those whose content does not have the hash that they are named by, or is no version. */
  readonly refused: readonly string[]
}

/**
 * Checks the hash of each version, and puts parents before children.
 * @param known numbers of versions that are in already, by hash; they are not entered again
 */
export function sortVersions(
  versions: readonly VersionRecord[],
  known: ReadonlyMap<string, number>,
): SortedVersions {
  const numbers = new Map(known)
  const seen = new Set(known.keys())
  const entered: EnteredVersion[] = []
  const refused: string[] = []
  const sound: Sound[] = []
  for (const version of versions) {
    const read = VersionNode.safeParse(version.node)
    if (versionHash(version.node) !== version.sha256 || !read.success) refused.push(version.sha256)
    else if (!seen.has(version.sha256)) sound.push({ ...version, read: read.data })
    seen.add(version.sha256)
  }
  // Each waits for its missing parents; what enters releases its children. Linear, whatever the order was.
  const missing = new Map<string, Set<string>>()
  const children = new Map<string, Sound[]>()
  const ready: Sound[] = []
  for (const version of sound.sort((a, b) => a.number - b.number || compareText(a.sha256, b.sha256))) {
    const parents = new Set(version.read.parents.filter((parent) => !numbers.has(parent)))
    missing.set(version.sha256, parents)
    for (const parent of parents) {
      const list = children.get(parent)
      if (list === undefined) children.set(parent, [version])
      else list.push(version)
    }
    if (parents.size === 0) ready.push(version)
  }
  // The list grows while it is walked.
  for (const { sha256, number, node, read } of ready) {
    const least = 1 + Math.max(0, ...read.parents.map((parent) => numbers.get(parent) ?? 0))
    numbers.set(sha256, Math.max(number, least))
    entered.push({ sha256, number: Math.max(number, least), node: read, stages: node.stages })
    for (const child of children.get(sha256) ?? []) {
      const left = missing.get(child.sha256)
      if (left?.delete(sha256) && left.size === 0) ready.push(child)
    }
  }
  const waiting = sound
    .filter(({ sha256 }) => !numbers.has(sha256))
    .map(({ sha256, read }) => ({ sha256, missing: read.parents.filter((one) => !numbers.has(one)) }))
  return { entered, waiting, refused }
}

/** Versions that no other was made from: more than one where a chain was edited on two computers. */
export function headsOf<V extends { readonly node: string; readonly parents: readonly string[] }>(
  versions: readonly V[],
): V[] {
  const parents = new Set(versions.flatMap((version) => version.parents))
  return versions.filter(({ node }) => !parents.has(node))
}

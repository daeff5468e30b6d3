// Chain versions by name, and which one is the newest. Two computers may give one number to two versions.

import type { ChainVersion } from '../../../app/contract/entities.ts'

const HASH_DIGITS = 4

/** '12', or '12 · 4d2e' where another version of the chain has the number. */
export const versionNumber = ({
  number,
  sharesNumber,
  node,
}: Pick<ChainVersion, 'number' | 'sharesNumber' | 'node'>): string =>
  sharesNumber ? `${number} · ${node.slice(0, HASH_DIGITS)}` : String(number)

/** Newest first: by number, which is greater than those of its parents, then the one that came here last. */
export const byNewest = (a: ChainVersion, b: ChainVersion): number => b.number - a.number || b.id - a.id

/** The version that saving has to know of, as the catalogue decides it; undefined for an empty list. */
export const newestVersion = (versions: readonly ChainVersion[]): ChainVersion | undefined =>
  versions.toSorted(byNewest)[0]

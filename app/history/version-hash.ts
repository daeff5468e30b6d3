// What a chain version is known by on every computer: the hash of all that it says.

import type { VersionNode } from '../contract/exchange/history.ts'
import { hashOfValue } from './canonical-json.ts'

/** The `format` and `v` of a version as it is hashed. */
export const VERSION_FORMAT = 'takeloft-chain-version'
export const VERSION_FORMAT_V = 1

type Fields<Stages> = Omit<VersionNode, 'format' | 'v' | 'stages'> & { readonly stages: Stages }

/** A version with its format, as it is hashed and exchanged. */
export const versionNode = <Stages>(fields: Fields<Stages>) => ({
  format: VERSION_FORMAT,
  v: VERSION_FORMAT_V,
  chain: fields.chain,
  parents: [...fields.parents],
  stages: fields.stages,
  note: fields.note,
  machine: fields.machine,
  createdAt: fields.createdAt,
})

/** SHA-256 of the node's canonical JSON (RFC 8785), 64 hexadecimal digits. */
export const versionHash = (node: unknown): string => hashOfValue(node)

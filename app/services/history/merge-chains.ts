// Merges chains and their versions. Settings are never mixed: a chain that was edited on two computers has two
// newest versions, until the engineer makes one of both or goes on with one.

import type { ChainVersion } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { validState } from '../../history/lineage.ts'
import { headsOf, sortVersions } from '../../history/version-graph.ts'
import { adoptStates, mergeStates } from './merge-states.ts'
import { joinIdentities, type Merging, noteAdded, noteConflict, referredRow, rowHere } from './merging.ts'

/** New chains, and the names of known ones. */
export function mergeChains(merging: Merging): void {
  const { chains, identities, historyRows } = merging.catalogue
  for (const chain of merging.entries.history.chains) {
    const row = rowHere(merging, 'chains', chain)
    const { name } = validState(chain.states).values
    if (row === undefined) {
      const voiceId = referredRow(merging, 'voices', chain.voice)
      const { id } = chains.insert({ voiceId, name }, chain.createdAt)
      identities.adopt('chains', id, chain.id)
      adoptStates(merging, { subject: 'chains', id }, chain.states)
      joinIdentities(merging, 'chains', id, chain)
      noteAdded(merging, 'chain', name)
      continue
    }
    const here = chains.get(row)
    mergeStates(
      merging,
      {
        subject: 'chains',
        id: row,
        kind: 'chain',
        name: here.name,
        madeAt: historyRows.madeAt('chains', row),
      },
      { name: here.name },
      chain.states,
      { rule: 'newest', write: (newer) => chains.rename(row, newer.name), describe: (one) => one.name },
    )
    joinIdentities(merging, 'chains', row, chain)
  }
}

/** 'v12', with the first digits of its hash where another version has the number. */
const versionLabel = ({ number, sharesNumber, node }: ChainVersion): string =>
  sharesNumber ? `v${number} · ${node.slice(0, 4)}` : `v${number}`

/** Versions enter after their parents, if they are what their hash says. */
export function mergeVersions(merging: Merging): void {
  const { catalogue, entries } = merging
  const { chains, identities, historyRows } = catalogue
  const chainIds = entries.history.chains.flatMap(({ id }) => identities.rowOf('chains', id) ?? [])
  const known = new Map(
    chainIds.flatMap((id) => historyRows.versionsOfChain(id).map((one) => [one.node, one.number] as const)),
  )
  const { entered, waiting, refused } = sortVersions(entries.history.versions, known)
  const machines = new Set(identities.machines().map(({ id }) => id))
  const changed = new Set<number>()
  for (const { sha256, number, node, stages } of entered) {
    const chainId = referredRow(merging, 'chains', node.chain)
    if (!machines.has(node.machine)) {
      throw new Failure(
        'invalid-input',
        `The history has a chain version of the computer ${node.machine}, and does not name that computer; export it again. Nothing was merged.`,
        { machine: node.machine, version: sha256 },
      )
    }
    chains.insertForeign({
      ...{ chainId, number, stages, note: node.note, createdAt: node.createdAt },
      ...{ parents: node.parents, machine: node.machine, node: sha256, sha256: hashOfValue(stages) },
    })
    changed.add(chainId)
    noteAdded(merging, 'version', `${chains.get(chainId).name}, v${number}`)
  }
  for (const { sha256, missing } of waiting) {
    noteConflict(
      merging,
      'waits',
      'version',
      sha256.slice(0, 12),
      missing.map((one) => one.slice(0, 12)),
    )
  }
  for (const sha256 of refused) noteConflict(merging, 'refused', 'version', sha256.slice(0, 12))
  for (const id of changed) {
    const heads = headsOf(chains.versions(id))
    if (heads.length < 2) continue
    noteConflict(
      merging,
      'two-ways',
      'chain',
      chains.get(id).name,
      heads.map(
        (head) =>
          `${versionLabel(head)}, ${head.machineName}, ${head.createdAt.slice(0, 16).replace('T', ' ')}`,
      ),
    )
  }
}

/** A version that is pinned on one computer is pinned on all, until it is unpinned on one. */
export function mergePins(merging: Merging): void {
  const { chains, historyRows, voiceHistory } = merging.catalogue
  for (const { sha256, states } of merging.entries.history.pins) {
    const id = historyRows.versionOfNode(sha256)
    // It waits for its parents, or was refused.
    if (id === undefined) continue
    const { chainId, voiceId, number, createdAt } = chains.version(id)
    const name = `${chains.get(chainId).name}, v${number}: pin`
    mergeStates(
      merging,
      { subject: 'pins', id, kind: 'version', name, madeAt: createdAt },
      { isPinned: voiceHistory.pins(voiceId).includes(id) },
      states,
      {
        rule: 'newest',
        write: ({ isPinned }) => voiceHistory.setPin(id, isPinned, merging.now),
        describe: ({ isPinned }) => (isPinned ? 'pinned' : 'not pinned'),
      },
    )
  }
}

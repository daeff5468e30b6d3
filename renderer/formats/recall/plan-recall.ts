// What it takes to give a session the sound of an earlier one: chains, groups with gains, and the roles,
// gains and pans of layers. Pure; the acts and the dialog work from the list of steps.

import type { Group, Layer, SessionContents } from '../../../app/contract/entities.ts'
import { formatGain, formatPan } from '../../../app/words/format.ts'
import { versionNumber } from '../chain/version-words.ts'

/** One field that changes. */
export interface RecallStep {
  /** What changes, in words: 'Chain of Lead'. */
  readonly what: string
  readonly from: string
  readonly to: string
  /** Whether the present value was set by the user, so that the step overwrites it. */
  readonly overwrites: boolean
  readonly change: RecallChange
}

export type RecallChange =
  | { readonly kind: 'session'; readonly fields: Partial<SessionChains> }
  | { readonly kind: 'group'; readonly group: Group; readonly fields: Partial<GroupSound> }
  /** A group that the earlier session has, and this one does not. */
  | { readonly kind: 'new-group'; readonly fields: GroupSound & { readonly name: string } }
  | { readonly kind: 'layer'; readonly layer: Layer; readonly fields: Partial<LayerSound> }
  /** The group is given by name, because it may not exist yet. */
  | { readonly kind: 'layer-group'; readonly layer: Layer; readonly groupName: string }

type SessionChains = Pick<SessionContents['session'], 'chainSharing' | 'sharedChainVersionId'>
type GroupSound = Pick<Group, 'chainVersionId' | 'gainDb'>
type LayerSound = Pick<Layer, 'role' | 'gainDb' | 'pan'>

export interface RecallPlan {
  readonly steps: readonly RecallStep[]
  /** Layers that the earlier session has no counterpart for; they stay as they are. */
  readonly unmatched: readonly Layer[]
}

const isSame = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase()

/** Differences that turn `now` into the sound of `then`. */
export function planRecall(now: SessionContents, then: SessionContents): RecallPlan {
  const pairs = pairLayers(now, then)
  const groupNow = (name: string): Group | undefined => now.groups.find((one) => isSame(one.name, name))
  return {
    steps: [
      ...sharingSteps(now, then),
      ...then.groups.flatMap((group) => groupSteps(now, then, group, groupNow(group.name))),
      ...pairs.flatMap(({ layer, like }) => layerSteps(now, then, layer, like)),
    ],
    unmatched: now.layers.filter((layer) => pairs.every((pair) => pair.layer !== layer)),
  }
}

function sharingSteps(now: SessionContents, then: SessionContents): RecallStep[] {
  const steps: RecallStep[] = []
  const { chainSharing, sharedChainVersionId } = then.session
  const hasChain =
    now.session.sharedChainVersionId !== null || now.groups.some((one) => one.chainVersionId !== null)
  if (now.session.chainSharing !== chainSharing) {
    steps.push({
      what: 'Chain sharing',
      from: SHARING_WORDS[now.session.chainSharing],
      to: SHARING_WORDS[chainSharing],
      overwrites: hasChain,
      change: { kind: 'session', fields: { chainSharing } },
    })
  }
  if (chainSharing === 'shared' && now.session.sharedChainVersionId !== sharedChainVersionId) {
    steps.push({
      what: 'Shared chain',
      from: chainWords(now, now.session.sharedChainVersionId),
      to: chainWords(then, sharedChainVersionId),
      overwrites: now.session.sharedChainVersionId !== null,
      change: { kind: 'session', fields: { sharedChainVersionId } },
    })
  }
  return steps
}

const SHARING_WORDS = { own: 'one chain per group', shared: 'one shared chain' } as const

function groupSteps(
  now: SessionContents,
  then: SessionContents,
  { name, chainVersionId, gainDb }: Group,
  present: Group | undefined,
): RecallStep[] {
  if (present === undefined) {
    const isUsed = then.layers.some((layer) =>
      then.groups.some((one) => one.id === layer.groupId && one.name === name),
    )
    if (!isUsed) return []
    return [
      {
        what: `Group ${name}`,
        from: 'not there',
        to: `new, ${chainWords(then, chainVersionId)}, ${formatGain(gainDb)}`,
        overwrites: false,
        change: { kind: 'new-group', fields: { name, chainVersionId, gainDb } },
      },
    ]
  }
  const steps: RecallStep[] = []
  // A group without a chain then takes nothing away from a group that has one now.
  if (
    then.session.chainSharing === 'own' &&
    chainVersionId !== null &&
    present.chainVersionId !== chainVersionId
  ) {
    steps.push({
      what: `Chain of ${present.name}`,
      from: chainWords(now, present.chainVersionId),
      to: chainWords(then, chainVersionId),
      overwrites: present.chainVersionId !== null,
      change: { kind: 'group', group: present, fields: { chainVersionId } },
    })
  }
  if (present.gainDb !== gainDb) {
    steps.push({
      what: `Gain of ${present.name}`,
      from: formatGain(present.gainDb),
      to: formatGain(gainDb),
      overwrites: present.gainDb !== 0,
      change: { kind: 'group', group: present, fields: { gainDb } },
    })
  }
  return steps
}

function layerSteps(now: SessionContents, then: SessionContents, layer: Layer, like: Layer): RecallStep[] {
  // Polarity is no step: it belongs to two takes that cancel, not to the sound of the artist.
  const isUntouched =
    layer.gainDb === 0 &&
    layer.pan === 0 &&
    layer.offsetSamples === 0 &&
    !layer.muted &&
    !layer.polarityInverted
  const steps: RecallStep[] = []
  const step = (what: string, from: string, to: string, overwrites: boolean, change: RecallChange): void => {
    steps.push({ what: `${what} of ${layer.name}`, from, to, overwrites, change })
  }
  const fieldsOf = (fields: Partial<LayerSound>): RecallChange => ({ kind: 'layer', layer, fields })
  if (layer.role !== like.role)
    step('Role', layer.role, like.role, !isUntouched, fieldsOf({ role: like.role }))
  const groupName = then.groups.find(({ id }) => id === like.groupId)?.name ?? ''
  const ownGroup = now.groups.find(({ id }) => id === layer.groupId)?.name ?? ''
  if (!isSame(groupName, ownGroup))
    step('Group', ownGroup, groupName, !isUntouched, { kind: 'layer-group', layer, groupName })
  if (layer.gainDb !== like.gainDb)
    step(
      'Gain',
      formatGain(layer.gainDb),
      formatGain(like.gainDb),
      layer.gainDb !== 0,
      fieldsOf({ gainDb: like.gainDb }),
    )
  if (layer.pan !== like.pan)
    step('Pan', formatPan(layer.pan), formatPan(like.pan), layer.pan !== 0, fieldsOf({ pan: like.pan }))
  return steps
}

/** Layers of one name belong together; the rest by role, in the order of the stack: second double to second double. */
function pairLayers(now: SessionContents, then: SessionContents): { layer: Layer; like: Layer }[] {
  const left = new Set(then.layers)
  const pairs: { layer: Layer; like: Layer }[] = []
  const pair = (layer: Layer, like: Layer | undefined): void => {
    if (like === undefined) return
    left.delete(like)
    pairs.push({ layer, like })
  }
  for (const layer of now.layers)
    pair(
      layer,
      [...left].find((one) => isSame(one.name, layer.name)),
    )
  for (const layer of now.layers) {
    if (pairs.some((one) => one.layer === layer)) continue
    pair(
      layer,
      [...left].find((one) => one.role === layer.role),
    )
  }
  return pairs.sort((a, b) => now.layers.indexOf(a.layer) - now.layers.indexOf(b.layer))
}

const chainWords = ({ chainVersions }: SessionContents, id: number | null): string => {
  const version = chainVersions.find((one) => one.id === id)
  return version === undefined ? 'no chain' : `${version.chainName}, version ${versionNumber(version)}`
}

/** Chains, gains and pans of a plan in a few words: 'Rap main, version 2, gains, pans'. */
export function recallSummary(steps: readonly RecallStep[]): string {
  const chains = new Set(
    steps
      .filter(({ change }) => hasField(change, 'chainVersionId') || hasField(change, 'sharedChainVersionId'))
      .map(({ to, change }) => (change.kind === 'new-group' ? '' : to))
      .filter((words) => words !== ''),
  )
  return [
    ...chains,
    ...(steps.some(({ change }) => change.kind === 'layer-group' || hasField(change, 'role'))
      ? ['roles']
      : []),
    ...(steps.some(({ change }) => hasField(change, 'gainDb')) ? ['gains'] : []),
    ...(steps.some(({ change }) => hasField(change, 'pan')) ? ['pans'] : []),
  ].join(', ')
}

const hasField = (change: RecallChange, name: string): boolean => 'fields' in change && name in change.fields

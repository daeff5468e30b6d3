// Which layer stems add up to their group only roughly, and the sentence that says so.

import type { StageSetup } from './render-plan.ts'

/** Groups behind one running chain, with what decides whether their layer stems add up. */
export interface GroupsOfChain {
  readonly names: readonly string[]
  readonly stages: readonly { readonly kind: string; readonly settings: object; readonly on?: boolean }[]
  /** Of all groups together. */
  readonly layers: readonly { readonly pan: number; readonly channels: number }[]
}

const drives = ({ kind, on = true, settings }: GroupsOfChain['stages'][number]): boolean =>
  kind === 'drive' && on && (settings as Extract<StageSetup, { kind: 'drive' }>['settings']).mixPercent > 0

/**
 * Drive bends left and right by themselves. Where both sides are alike, because every layer is mono and centred, a
 * layer's stem gets the gain of both; elsewhere a mono stem can have only their mean.
 * @returns null where all layer stems add up to their groups
 */
export function roughLayerStems(chains: readonly GroupsOfChain[]): string | null {
  const names = chains.flatMap((chain) =>
    chain.stages.some(drives) && chain.layers.some(({ pan, channels }) => pan !== 0 || channels > 1)
      ? chain.names
      : [],
  )
  if (names.length === 0) return null
  const of = names.length === 1 ? names[0] : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`
  return `The layer stems of ${of} add up to the group only roughly: drive bends left and right by themselves, and a layer stem comes before the pan. Mix with the group stems where the sum has to be exact.`
}

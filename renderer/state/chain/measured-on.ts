// Whether Chain measures one take or the whole group as it is in the session; remembered on this machine.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { keeping, oneOf } from '../kept-fields.ts'
import type { OwnedChain } from './use-chain-owner.ts'

interface MeasuredOn {
  readonly on: 'take' | 'group'
}

const measuredOn = createStore<MeasuredOn>()(
  persist(
    () => ({ on: 'take' }),
    keeping<MeasuredOn>({ on: { key: 'takeloft.measuredOn', read: oneOf(['take', 'group'] as const) } }),
  ),
)

/** Whether the group can be measured: it has a chain of its own, and a layer that is not muted. */
export const isGroupMeasurable = ({ contents, group }: Pick<OwnedChain, 'contents' | 'group'>): boolean =>
  contents.session.chainSharing === 'own' &&
  contents.layers.some((layer) => layer.groupId === group?.id && !layer.muted)

/** Whether the figures are of the group; of a take where it cannot be measured. */
export const useIsGroupMeasured = (owned: Pick<OwnedChain, 'contents' | 'group'>): boolean =>
  useStore(measuredOn).on === 'group' && isGroupMeasurable(owned)

export const measureOn = (on: MeasuredOn['on']): void => {
  measuredOn.setState({ on })
}

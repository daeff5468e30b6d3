// The window's one connection to the services.

import { useSyncExternalStore } from 'react'
import { connect } from '../../app/contract/wire/connect.ts'
import { openBridge } from './bridge.ts'

export const bridge = openBridge()
export const { client, on } = connect(bridge.port)

let isLost = false
const watchers = new Set<() => void>()
bridge.port.listen(
  () => {},
  () => {
    isLost = true
    for (const watcher of watchers) watcher()
  },
)

/** Whether the services are gone; they do not come back without a reload. */
export const useConnectionLost = (): boolean =>
  useSyncExternalStore(
    (watcher) => {
      watchers.add(watcher)
      return () => watchers.delete(watcher)
    },
    () => isLost,
  )

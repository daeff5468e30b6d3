// The window's only connection to the services.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { connect } from '../../app/contract/wire/connect.ts'
import { openBridge } from './bridge.ts'

/** The bridge to the host, and the client of the services' commands and events. */
export const bridge = openBridge()
export const { client, on } = connect(bridge.port)

const connection = createStore<{ readonly isLost: boolean }>()(() => ({ isLost: false }))
bridge.port.listen(
  () => {},
  () => connection.setState({ isLost: true }),
)

/** Whether the connection to the services is lost; only a reload opens another. */
export const useConnectionLost = (): boolean => useStore(connection).isLost

// Two ports joined in memory; messages are cloned and arrive later, as between real sides.

import type { Port } from '../../app/contract/wire/port.ts'

interface End {
  hear: ((message: unknown) => void)[]
  closed: (() => void)[]
}

export function createMemoryPorts(): { window: Port; services: Port; close(): void } {
  const ends: [End, End] = [
    { hear: [], closed: [] },
    { hear: [], closed: [] },
  ]
  let isClosed = false
  const portOf = (own: End, other: End): Port => ({
    post(message) {
      if (isClosed) return
      const copy: unknown = structuredClone(message)
      queueMicrotask(() => {
        for (const hear of [...other.hear]) hear(copy)
      })
    },
    listen(hear, closed) {
      own.hear.push(hear)
      own.closed.push(closed)
      return () => {
        own.hear = own.hear.filter((one) => one !== hear)
        own.closed = own.closed.filter((one) => one !== closed)
      }
    },
  })
  return {
    window: portOf(ends[0], ends[1]),
    services: portOf(ends[1], ends[0]),
    close() {
      isClosed = true
      for (const end of ends) for (const closed of [...end.closed]) closed()
    },
  }
}

// The window's cache of the catalogue, invalidated by the catalogue's own event.

import { notifyManager, QueryClient } from '@tanstack/react-query'
import { Failure } from '../../app/contract/failure.ts'
import type { EventOf } from '../../app/contract/wire/commands.ts'
import { on } from './connection.ts'

type Subject = EventOf<'catalogueChanged'>['subjects'][number]

declare module '@tanstack/react-query' {
  interface Register {
    queryMeta: { subjects?: readonly Subject[] }
    defaultError: Failure
  }
}

// Removes the default delay of one tick, which would make a field show its old value for a frame.
notifyManager.setScheduler(queueMicrotask)

/** The only cache; data becomes stale only when the catalogue reports a change. */
export const queryClient = new QueryClient({
  defaultOptions: {
    queries: {
      // Only the catalogue's event invalidates data, and the services run on this machine.
      staleTime: Number.POSITIVE_INFINITY,
      refetchOnWindowFocus: false,
      networkMode: 'always',
      retry: (failures, error) => failures < 3 && error instanceof Failure && error.code === 'catalogue-busy',
    },
    mutations: { networkMode: 'always' },
  },
})

on('catalogueChanged', ({ subjects }) => {
  void queryClient.invalidateQueries({
    predicate: (query) => query.meta?.subjects?.some((subject) => subjects.includes(subject)) ?? false,
  })
})

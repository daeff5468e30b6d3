// Takes of the open session whose files are missing, and the dialog that finds them, which several places open.

import { useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { SessionContents, TakeAbsence } from '../../app/contract/entities.ts'
import { missingTakesQuery, useCurrentSession } from './queries.ts'
import { useSelection } from './selection.ts'

interface Finder {
  readonly isOpen: boolean
  /** The take that a file is to be chosen for; null while a folder is searched for all. */
  readonly takeId: number | null
}

const CLOSED: Finder = { isOpen: false, takeId: null }
const finder = createStore<Finder>()(() => CLOSED)

/** How the dialog stands. */
export const useMissingFinder = (): Finder => useStore(finder)
/** Opens the dialog, for one take or for all. */
export const findMissingTakes = (takeId: number | null = null): void =>
  finder.setState({ isOpen: true, takeId })
export const closeMissingFinder = (): void => finder.setState(CLOSED)

/** Where the file of a missing take was, and whether something else is there now. */
interface MissingTake {
  readonly path: string
  readonly state: TakeAbsence
}

/** By the id of each missing take. */
export function useMissingTakes(): ReadonlyMap<number, MissingTake> {
  const { sessionId } = useSelection()
  const { data } = useQuery({ ...missingTakesQuery(sessionId ?? 0), enabled: sessionId !== null })
  return useMemo(() => new Map(data?.map(({ id, path, state }) => [id, { path, state }])), [data])
}

/** Names of the missing takes that would sound: those of layers that are not muted. */
export function useMissingInStack(): readonly string[] {
  const missing = useMissingTakes()
  const contents = useCurrentSession().data
  return useMemo(() => (contents === undefined ? [] : missingInStack(contents, missing)), [contents, missing])
}

function missingInStack(
  { takes, layers }: SessionContents,
  missing: ReadonlyMap<number, MissingTake>,
): readonly string[] {
  const sounding = new Set(layers.filter(({ muted }) => !muted).map(({ takeId }) => takeId))
  return takes.filter(({ id }) => missing.has(id) && sounding.has(id)).map(({ name }) => name)
}

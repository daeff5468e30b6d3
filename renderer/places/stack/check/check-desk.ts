// The check of the open session's stack: while it runs, what it found, and the finding that is shown.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { SessionContents } from '../../../../app/contract/entities.ts'
import type { SongRange } from '../../../../app/contract/sections/song-range.ts'
import type { StackCheck } from '../../../../app/contract/stack-check/stack-check.ts'
import { checkedState, type LayerPicture, picturesOf } from '../../../formats/stack/check-picture.ts'
import { client } from '../../../state/connection.ts'
import { messageOf } from '../../../state/notices.ts'
import { readSelection, setLoop, watchSelection } from '../../../state/selection.ts'

interface DoneCheck {
  readonly check: StackCheck
  readonly pictures: ReadonlyMap<number, LayerPicture>
  /** What the stack was then; see checkedState. */
  readonly state: string
}

/** One place of a finding. */
interface ShownFinding {
  readonly finding: number
  readonly place: number
  /** Until a lane has brought it into sight. */
  readonly isComing: boolean
}

interface CheckDesk {
  readonly sessionId: number | null
  readonly isOpen: boolean
  /** How far it is, from 0 to 1; null while nothing runs. */
  readonly fraction: number | null
  readonly failure: string | null
  readonly done: DoneCheck | null
  readonly shown: ShownFinding | null
}

const NOTHING = { isOpen: false, fraction: null, failure: null, done: null, shown: null } as const
const desk = createStore<CheckDesk>()(() => ({ sessionId: null, ...NOTHING }))
let running = new AbortController()

/** The check of the open session. */
export const useCheckDesk = (): CheckDesk => useStore(desk)
export const readCheckDesk = desk.getState

export const openCheck = (isOpen: boolean): void => {
  desk.setState({ sessionId: readSelection().sessionId, isOpen })
}

export function cancelCheck(): void {
  running.abort()
  desk.setState({ fraction: null })
}

/** Checks the stack as it is saved; an earlier check that still runs is cancelled. */
export async function runCheck(contents: SessionContents, range: SongRange): Promise<void> {
  running.abort()
  running = new AbortController()
  const { signal } = running
  const state = checkedState(contents)
  const sessionId = contents.session.id
  desk.setState({ sessionId, fraction: 0, failure: null })
  try {
    const check = await client.checkStack(
      { sessionId, range },
      {
        signal,
        onProgress: (fraction) => {
          if (!signal.aborted) desk.setState({ fraction })
        },
      },
    )
    if (signal.aborted) return
    desk.setState({
      fraction: null,
      done: { check, pictures: picturesOf(check), state },
      shown: null,
    })
  } catch (error) {
    if (!signal.aborted) desk.setState({ fraction: null, failure: messageOf(error) })
  }
}

/** What is heard before and behind a place, and least of it, in seconds. */
const AROUND_S = 0.3
const LEAST_S = 1.2

/** Shows a place of a finding and loops around it. @returns its first session frame; null if there is none */
export function showFinding(finding: number, place: number, sampleRateHz: number): number | null {
  const found = desk.getState().done?.check.findings[finding]
  const span = found?.places[place]
  if (span === undefined) return null
  desk.setState({ shown: { finding, place, isComing: true } })
  const missingS = Math.max(0, LEAST_S - (span.toS - span.fromS) - 2 * AROUND_S) / 2
  const frameAt = (seconds: number): number => Math.round(seconds * sampleRateHz)
  // Nothing is heard before the song.
  const fromFrame = frameAt(Math.max(Math.min(0, span.fromS), span.fromS - AROUND_S - missingS))
  setLoop({ fromFrame, toFrame: frameAt(span.toS + AROUND_S + missingS) })
  return fromFrame
}

/** The shown place has come into sight. */
export function noteInSight(): void {
  const { shown } = desk.getState()
  if (shown !== null) desk.setState({ shown: { ...shown, isComing: false } })
}

// Findings name layers of their session.
watchSelection(() => {
  if (readSelection().sessionId === desk.getState().sessionId) return
  running.abort()
  desk.setState({ sessionId: readSelection().sessionId, ...NOTHING })
})

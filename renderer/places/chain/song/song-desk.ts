// The range of the song that the figures of Chain are of, and the one that is kept to compare with; of one take.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { framesOf, type TakePlace, type TakeRange } from '../../../formats/song/song-ranges.ts'
import { keeping, oneOf } from '../../../state/kept-fields.ts'
import { setLoop } from '../../../state/selection.ts'

interface SongDesk {
  readonly takeId: number | null
  /** null for the whole take. */
  readonly range: TakeRange | null
  readonly kept: TakeRange | null
}

const desk = createStore<SongDesk>()(() => ({ takeId: null, range: null, kept: null }))
const NOTHING = { range: null, kept: null } as const

/** What is chosen of a take; nothing of any other. */
export function useSongDesk(takeId: number | null): Pick<SongDesk, 'range' | 'kept'> {
  const { takeId: chosenOf, range, kept } = useStore(desk)
  return takeId !== null && chosenOf === takeId ? { range, kept } : NOTHING
}

/** Chooses a range, which playback then loops; null for the whole take. */
export function chooseRange(takeId: number, place: TakePlace, range: TakeRange | null): void {
  const { takeId: before, kept } = desk.getState()
  desk.setState({ takeId, range, kept: before === takeId ? kept : null })
  setLoop(range === null ? null : framesOf(place, range))
}

/** Keeps the chosen range for comparison; null lets go of it. */
export const keepRange = (kept: TakeRange | null): void => desk.setState({ kept })

interface SongSight {
  readonly sight: 'shown' | 'hidden'
}

/** In a low window the lanes leave little room for the settings. */
const sights = createStore<SongSight>()(
  persist(
    () => ({ sight: 'shown' }),
    keeping<SongSight>({ sight: { key: 'takeloft.song', read: oneOf(['shown', 'hidden'] as const) } }),
  ),
)

/** Whether the lanes along the song are shown; remembered on this machine. */
export const useIsSongShown = (): boolean => useStore(sights).sight === 'shown'
export const showSong = (isShown: boolean): void => {
  sights.setState({ sight: isShown ? 'shown' : 'hidden' })
}

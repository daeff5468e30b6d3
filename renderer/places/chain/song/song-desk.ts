// The range of the song that the figures of Chain are of, and the one that is kept to compare with; of one take or group.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { framesOf, type TakePlace, type TakeRange } from '../../../formats/song/song-ranges.ts'
import { keeping, oneOf } from '../../../state/kept-fields.ts'
import { setLoop } from '../../../state/selection.ts'

interface SongDesk {
  /** What is measured, as measuredKey has it. */
  readonly of: string | null
  /** null for the whole. */
  readonly range: TakeRange | null
  readonly kept: TakeRange | null
}

const desk = createStore<SongDesk>()(() => ({ of: null, range: null, kept: null }))
const NOTHING = { range: null, kept: null } as const

/** What is chosen of a take or group; nothing of any other. */
export function useSongDesk(of: string | null): Pick<SongDesk, 'range' | 'kept'> {
  const { of: chosenOf, range, kept } = useStore(desk)
  return of !== null && chosenOf === of ? { range, kept } : NOTHING
}

/** Chooses a range, which playback then loops; null for the whole. */
export function chooseRange(of: string, place: TakePlace, range: TakeRange | null): void {
  const { of: before, kept } = desk.getState()
  desk.setState({ of, range, kept: before === of ? kept : null })
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

// While it plays, the river and its numbers are of the moment that is heard; otherwise of the range or the whole take.
// The moment is read from the rows that are measured already, with each frame of the screen on which another row is
// heard, so that the picture is at most a row (21 ms) and a frame from the sound. It is drawn by what asks for it alone,
// so that nothing else of the place is drawn with it.

import { type ReactNode, useEffect, useMemo } from 'react'
import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { measurementAt, momentAt, momentsOf } from '../../../formats/song/moment.ts'
import { jointOver } from '../../../formats/song/range-figures.ts'
import { measuredSeconds, type TakePlace } from '../../../formats/song/song-ranges.ts'
import { playheadFrame, readPlayer, usePlayer } from '../../../playback/player.ts'
import { keeping, oneOf } from '../../../state/kept-fields.ts'
import type { MeasuredChain } from './match-measurement.ts'
import { riverScaleOfAll } from './river-course.ts'
import type { RiverScale } from './river-geometry.ts'
import type { SongOfStages } from './use-song.ts'

/** What is heard now: the song, the row of it that sounds, and the figures of the moment that ends with it. */
interface HeardMoment {
  readonly song: SongOfStages
  readonly row: number
  readonly chain: MeasuredChain
}

/** null while no moment is shown. */
const heard = createStore<{ readonly moment: HeardMoment | null }>()(() => ({ moment: null }))

/** Draws its component again for each moment; null while no moment is shown. */
export const useHeardMoment = (): HeardMoment | null => useStore(heard).moment

interface Following {
  readonly follow: 'on' | 'off'
}
const following = createStore<Following>()(
  persist(
    () => ({ follow: 'on' }),
    keeping<Following>({ follow: { key: 'takeloft.follow', read: oneOf(['on', 'off'] as const) } }),
  ),
)

/** Whether figures follow what is heard; remembered on this machine. */
export const useIsFollowing = (): boolean => useStore(following).follow === 'on'
export const setFollowing = (isOn: boolean): void => {
  following.setState({ follow: isOn ? 'on' : 'off' })
}

const wantsLessMotion = window.matchMedia('(prefers-reduced-motion: reduce)')

/** A chain with the joints and reductions of a moment, as fresh as the figures that it replaces. */
function heardAt(chain: MeasuredChain, song: SongOfStages, takeSeconds: number): HeardMoment | null {
  const moment = momentAt(song, takeSeconds)
  // While stages are added or moved, the rows are of another chain.
  if (moment === null || song.stages.length !== chain.rows.length) return null
  const { joints, stages } = measurementAt(song, song.stages, moment)
  return {
    song,
    row: moment.toRow - 1,
    chain: {
      ...chain,
      input: joints[0],
      output: joints[joints.length - 1],
      rows: chain.rows.map((row, k) => ({
        ...row,
        before: joints[k],
        after: joints[k + 1],
        stage: stages[k],
      })),
    },
  }
}

/** Follows what is heard as long as it plays. @param chain as measured @param song null for a take without rows */
export function useHeardChain(
  chain: MeasuredChain | null,
  song: SongOfStages | null,
  place: TakePlace,
): void {
  const { status } = usePlayer()
  const isOn = useIsFollowing() && status === 'playing' && chain !== null && song !== null
  useEffect(() => {
    if (!isOn || wantsLessMotion.matches) return
    let shownRow = -1
    let request = 0
    const show = (): void => {
      request = requestAnimationFrame(show)
      const isTake = readPlayer().source?.target.kind === 'take'
      const seconds = measuredSeconds(place, playheadFrame(), isTake)
      const row = momentAt(song, seconds)?.toRow ?? -1
      if (row === shownRow) return
      shownRow = row
      heard.setState({ moment: heardAt(chain, song, seconds) })
    }
    show()
    return () => {
      cancelAnimationFrame(request)
      heard.setState({ moment: null })
    }
  }, [isOn, chain, song, place])
}

export interface HeardProps {
  /** What is shown while nothing plays. */
  readonly chain: MeasuredChain
  readonly song: SongOfStages | null
  readonly heightPx: number
  /** @param scale of the river at which every moment fits; undefined while none is shown */
  readonly children: (chain: MeasuredChain, scale: RiverScale | undefined) => ReactNode
}

/** Draws its children again for each moment. */
export function Heard({ chain, song, heightPx, children }: HeardProps) {
  const moment = useHeardMoment()
  const isShown = moment !== null
  const scale = useMemo(() => {
    if (!isShown || song === null) return undefined
    const loudest = [...momentsOf(song)].flatMap((range) =>
      song.joints.map((joint) => jointOver(joint, range, [range]).strandsDbfs),
    )
    return riverScaleOfAll(loudest, heightPx)
  }, [isShown, song, heightPx])
  return children(moment?.chain ?? chain, scale)
}

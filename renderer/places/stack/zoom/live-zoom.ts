// The zoom while a wheel or a pinch goes on: what is drawn is stretched and shifted, and drawn exactly only once the
// gesture rests. Few elements follow it, each by a transform, so that a step costs neither layout nor rendering.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** How the lanes are stretched: what was drawn at `x` is seen at `x` times `scale` plus `shiftPx`. */
export interface LiveZoom {
  readonly scale: number
  readonly shiftPx: number
}

/** Nothing is stretched. */
export const AT_REST: LiveZoom = { scale: 1, shiftPx: 0 }

const live = createStore<LiveZoom>()(() => AT_REST)
/** The stretch of this frame. */
export const useLiveZoom = (): LiveZoom => useStore(live)
export const setLiveZoom = (zoom: LiveZoom): void => live.setState(zoom, true)

/** What the lanes show before a gesture. */
export interface ZoomStart {
  readonly pxPerSecond: number
  readonly scrollLeft: number
}

/** What bounds the zoom. */
export interface ZoomBounds {
  /** Pixels per second at which the whole song fits. */
  readonly wholeSongPxPerSecond: number
  readonly closestPxPerSecond: number
  readonly laneWidth: number
  /** Length of the lanes. */
  readonly seconds: number
}

/** Lanes stretched further than this, or less than its inverse, are drawn again: they lack detail or their ends. */
export const MOST_STRETCH = 2

/**
 * Where a gesture has come to. The middle of the view stays in place, except at the ends of the song.
 * @param factor of the whole gesture so far
 */
export function zoomedFrom(
  { pxPerSecond, scrollLeft }: ZoomStart,
  factor: number,
  { wholeSongPxPerSecond, closestPxPerSecond, laneWidth, seconds }: ZoomBounds,
): ZoomStart & LiveZoom {
  const next = Math.min(closestPxPerSecond, Math.max(wholeSongPxPerSecond, pxPerSecond * factor))
  const scale = next / pxPerSecond
  const middle = (scrollLeft + laneWidth / 2) * scale
  const room = Math.max(0, seconds * next - laneWidth)
  const nextLeft = Math.min(room, Math.max(0, middle - laneWidth / 2))
  return { pxPerSecond: next, scrollLeft: nextLeft, scale, shiftPx: scrollLeft - nextLeft }
}

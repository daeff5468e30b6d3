// Waveform of a whole take, drawn by wavesurfer from stored peaks. wavesurfer only draws: it does not load,
// decode or play, and the caller handles pointer and keys.

import { useEffect, useRef } from 'react'
import WaveSurfer from 'wavesurfer.js'
import { gainToOwnPeak, type Peaks, slicePeaks } from './peaks.ts'

export interface TakeWaveProps {
  readonly peaks: Peaks
  readonly frames: number
  /** In CSS pixels. */
  readonly width: number
  readonly height: number
  /** A custom property of the theme, such as --wave-lead. */
  readonly colour: string
  /** Current theme; when it changes, the colour is read again. */
  readonly theme: string
}

// Shared, because wavesurfer would otherwise create a media element per waveform.
const silentMedia = document.createElement('audio')

/** Waveform of a whole take, normalised to its peak. */
export function TakeWave({ peaks, frames, width, height, colour, theme }: TakeWaveProps) {
  const frame = useRef<HTMLDivElement>(null)
  const surfer = useRef<WaveSurfer | null>(null)

  useEffect(() => {
    const made = WaveSurfer.create({
      container: frame.current!,
      media: silentMedia,
      interact: false,
      cursorWidth: 0,
      hideScrollbar: true,
      fillParent: true,
      height: 'auto',
    })
    surfer.current = made
    return () => {
      surfer.current = null
      made.destroy()
    }
  }, [])

  // biome-ignore lint/correctness/useExhaustiveDependencies: the theme changes what the colour's name means
  useEffect(() => {
    const made = surfer.current
    if (made === null || width < 1) return
    const columns = width * window.devicePixelRatio
    const { maxima, minima } = slicePeaks(peaks, 0, frames, columns, gainToOwnPeak(peaks))
    if (maxima.length === 0) return
    const waveColor = getComputedStyle(document.documentElement).getPropertyValue(colour).trim()
    made.setOptions({ waveColor, progressColor: waveColor, height })
    // The duration has no effect on a waveform that fills its frame.
    made.load('', [maxima, minima], 1).catch(() => {
      // Fails only when a newer waveform replaces this one or it is destroyed.
    })
  }, [peaks, frames, width, height, colour, theme])

  return <div ref={frame} className="waveform" style={{ width, height }} aria-hidden="true" />
}

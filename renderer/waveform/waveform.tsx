// A stretch of a take, drawn by wavesurfer from our own peaks. It is a picture only:
// wavesurfer neither fetches, decodes nor plays here, and pointer and keys belong to the caller.

import { useEffect, useRef } from 'react'
import WaveSurfer from 'wavesurfer.js'
import { type Peaks, slicePeaks } from './peaks.ts'

export interface WaveformProps {
  readonly peaks: Peaks
  readonly fromFrame: number
  readonly toFrame: number
  /** In CSS pixels. */
  readonly width: number
  readonly height: number
  /** A custom property of the theme, such as --wave-lead. */
  readonly colour: string
  /** Changes when the theme does, so that colours are read anew. */
  readonly theme: string
  /** Factor on the picture. */
  readonly gain?: number
}

// One silent element for all pictures: wavesurfer would make one for each.
const silentMedia = document.createElement('audio')

/** Waveform of a range of frames. */
export function Waveform(props: WaveformProps) {
  const { peaks, fromFrame, toFrame, width, height, colour, theme, gain = 1 } = props
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
    const { maxima, minima } = slicePeaks(peaks, fromFrame, toFrame, width * window.devicePixelRatio, gain)
    if (maxima.length === 0) return
    const waveColor = getComputedStyle(document.documentElement).getPropertyValue(colour).trim()
    made.setOptions({ waveColor, progressColor: waveColor, height })
    // The length in seconds plays no part in a picture that fills its frame.
    made.load('', [maxima, minima], 1).catch(() => {
      // Only a newer picture or the end of this one stops a load that fetches nothing.
    })
  }, [peaks, fromFrame, toFrame, width, height, colour, theme, gain])

  return <div ref={frame} className="waveform" style={{ width, height }} aria-hidden="true" />
}

// Small waveform of a whole take. It draws on a plain canvas, because lists hold hundreds of them.

import { useEffect, useRef } from 'react'
import { gainToOwnPeak, slicePeaks } from './peaks.ts'
import { usePeaks } from './use-peaks.ts'

export interface ThumbnailProps {
  readonly takeId: number
  readonly width: number
  readonly height: number
  readonly colour?: string
  readonly theme: string
}

/** Waveform of a whole take, normalised to its peak. */
export function Thumbnail({ takeId, width, height, colour = '--wave-lead', theme }: ThumbnailProps) {
  const peaks = usePeaks(takeId)
  const canvas = useRef<HTMLCanvasElement>(null)

  // biome-ignore lint/correctness/useExhaustiveDependencies: the theme changes what the colour's name means
  useEffect(() => {
    const element = canvas.current
    const context = element?.getContext('2d')
    if (element == null || context == null) return
    const ratio = window.devicePixelRatio
    element.width = Math.round(width * ratio)
    element.height = Math.round(height * ratio)
    if (peaks === undefined) return
    const { maxima, minima } = slicePeaks(
      peaks,
      0,
      peaks.minima.length * peaks.framesPerPeak,
      element.width,
      gainToOwnPeak(peaks),
    )
    context.fillStyle = getComputedStyle(document.documentElement).getPropertyValue(colour).trim()
    const middle = element.height / 2
    const step = element.width / Math.max(1, maxima.length)
    for (let i = 0; i < maxima.length; i++) {
      const top = middle - maxima[i] * middle
      const bottom = middle - minima[i] * middle
      context.fillRect(i * step, top, Math.max(1, step), Math.max(1, bottom - top))
    }
  }, [peaks, width, height, colour, theme])

  return <canvas ref={canvas} className="thumbnail" style={{ width, height }} />
}

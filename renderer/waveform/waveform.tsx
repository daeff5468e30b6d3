// Waveform of part of a take on a canvas, drawn from stored peaks. The caller handles pointer and keys.

import { useEffect, useLayoutEffect, useRef } from 'react'
import { cancelDrawing, drawSoon } from './draw-queue.ts'
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
  /** Current theme; when it changes, the colours are read again. */
  readonly theme: string
  /** Factor on the drawn values. */
  readonly gain?: number
}

/** What the canvas shows now. */
type Drawn = Pick<WaveformProps, 'fromFrame' | 'toFrame' | 'width'>

/** Canvases that are wider than this are drawn coarser; browsers have a limit. */
const MAX_CANVAS_PX = 8192

/** Waveform of a range of frames. */
export function Waveform(props: WaveformProps) {
  const { peaks, fromFrame, toFrame, width, height, colour, theme, gain = 1 } = props
  const canvas = useRef<HTMLCanvasElement>(null)
  const drawn = useRef<Drawn | null>(null)

  // Puts the last drawing where its frames are now; a transform costs no layout.
  useLayoutEffect(() => {
    const last = drawn.current
    if (last === null) return
    const pxPerFrame = width / (toFrame - fromFrame)
    const scale = ((last.toFrame - last.fromFrame) * pxPerFrame) / last.width
    const left = (last.fromFrame - fromFrame) * pxPerFrame
    canvas.current!.style.transform = `translateX(${left}px) scaleX(${scale})`
  }, [fromFrame, toFrame, width])

  // biome-ignore lint/correctness/useExhaustiveDependencies: the theme changes what the colour's name means
  useEffect(() => {
    const element = canvas.current!
    const draw = (): void => {
      drawWave(element, props)
      drawn.current = { fromFrame, toFrame, width }
      element.style.width = `${width}px`
      element.style.height = `${height}px`
      element.style.transform = ''
    }
    // The first drawing cannot be stretched from one before.
    drawSoon(element, draw)
    return () => {
      cancelDrawing(element)
    }
  }, [peaks, fromFrame, toFrame, width, height, colour, theme, gain])

  return (
    <div className="waveform" style={{ width, height }} aria-hidden="true">
      <canvas ref={canvas} style={{ display: 'block', transformOrigin: 'left' }} />
    </div>
  )
}

/** One filled shape, from the maxima to the minima; at least one pixel high everywhere. */
function drawWave(canvas: HTMLCanvasElement, props: WaveformProps): void {
  const { peaks, fromFrame, toFrame, width, height, colour, gain = 1 } = props
  const ratio = Math.min(window.devicePixelRatio, MAX_CANVAS_PX / Math.max(1, width))
  canvas.width = Math.max(1, Math.round(width * ratio))
  canvas.height = Math.max(1, Math.round(height * window.devicePixelRatio))
  const context = canvas.getContext('2d')
  if (context === null) return
  const { maxima, minima } = slicePeaks(peaks, fromFrame, toFrame, canvas.width, gain)
  if (maxima.length === 0) return
  context.fillStyle = getComputedStyle(document.documentElement).getPropertyValue(colour).trim()
  const middle = canvas.height / 2
  const step = canvas.width / maxima.length
  const least = window.devicePixelRatio / 2
  context.beginPath()
  context.moveTo(0, middle)
  for (let i = 0; i < maxima.length; i++)
    context.lineTo((i + 0.5) * step, middle - Math.max(least, maxima[i] * middle))
  context.lineTo(canvas.width, middle)
  for (let i = maxima.length - 1; i >= 0; i--)
    context.lineTo((i + 0.5) * step, middle - Math.min(-least, minima[i] * middle))
  context.fill()
}

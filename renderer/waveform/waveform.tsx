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

/**
 * Writes the pixels themselves, because filling a path of thousands of points costs many times as much.
 * From the maximum to the minimum of each column, at least one pixel high, with soft edges.
 */
function drawWave(canvas: HTMLCanvasElement, props: WaveformProps): void {
  const { peaks, fromFrame, toFrame, width, height, colour, gain = 1 } = props
  const ratio = Math.min(window.devicePixelRatio, MAX_CANVAS_PX / Math.max(1, width))
  const columns = Math.max(1, Math.round(width * ratio))
  const rows = Math.max(1, Math.round(height * window.devicePixelRatio))
  canvas.width = columns
  canvas.height = rows
  const context = canvas.getContext('2d')
  if (context === null) return
  const { maxima, minima } = slicePeaks(peaks, fromFrame, toFrame, columns, gain)
  const count = maxima.length
  if (count === 0) return
  context.fillStyle = getComputedStyle(document.documentElement).getPropertyValue(colour).trim()
  const paint = paintOf(String(context.fillStyle))
  const image = context.createImageData(columns, rows)
  const pixels = new Uint32Array(image.data.buffer)
  const middle = rows / 2
  for (let x = 0; x < columns; x++) {
    // Between peaks that are further apart than pixels, the envelope is a straight line.
    const at = Math.min(count - 1, Math.max(0, ((x + 0.5) * count) / columns - 0.5))
    const first = Math.floor(at)
    const second = Math.min(count - 1, first + 1)
    const part = at - first
    const high = maxima[first] + part * (maxima[second] - maxima[first])
    const low = minima[first] + part * (minima[second] - minima[first])
    const top = middle - Math.max(0.5, high * middle)
    const bottom = middle - Math.min(-0.5, low * middle)
    const end = Math.min(rows, Math.ceil(bottom))
    for (let y = Math.max(0, Math.floor(top)); y < end; y++) {
      const covered = Math.min(bottom, y + 1) - Math.max(top, y)
      pixels[y * columns + x] = ((Math.round(255 * covered) << 24) | paint) >>> 0
    }
  }
  context.putImageData(image, 0, 0)
}

/** '#rrggbb', as a canvas gives back its colour, to the order of bytes in its pixels; without alpha. */
function paintOf(colour: string): number {
  const [red, green, blue] = [1, 3, 5].map((place) => Number.parseInt(colour.slice(place, place + 2), 16))
  return (blue << 16) | (green << 8) | red
}

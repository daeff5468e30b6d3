// Draws the plot of a data sheet in pixels: background, grid, digits, antialiased curves. It can
// also apply the loss of JPEG.

import type { Pixels } from '../../../../../renderer/places/mics/trace/colour.ts'

export type Rgb = readonly [number, number, number]

export const PLOT = {
  left: 90,
  right: 1110,
  top: 40,
  bottom: 600,
  lowHz: 20,
  highHz: 20_000,
  lowDb: -20,
  highDb: 20,
}

export const xOf = (frequencyHz: number): number =>
  PLOT.left +
  ((PLOT.right - PLOT.left) * Math.log(frequencyHz / PLOT.lowHz)) / Math.log(PLOT.highHz / PLOT.lowHz)
export const yOf = (levelDb: number): number =>
  PLOT.top + ((PLOT.bottom - PLOT.top) * (PLOT.highDb - levelDb)) / (PLOT.highDb - PLOT.lowDb)

export function blank(width = 1200, height = 660, paper: Rgb = [255, 255, 255]): Pixels {
  const data = new Uint8ClampedArray(4 * width * height)
  for (let i = 0; i < data.length; i += 4) data.set([...paper, 255], i)
  return { width, height, data }
}

function blend({ data, width, height }: Pixels, x: number, y: number, colour: Rgb, cover: number): void {
  if (x < 0 || y < 0 || x >= width || y >= height || cover <= 0) return
  const at = 4 * (y * width + x)
  for (let c = 0; c < 3; c++) data[at + c] = data[at + c] * (1 - cover) + colour[c] * cover
}

export function fillBox(pixels: Pixels, x: number, y: number, w: number, h: number, colour: Rgb): void {
  for (let row = 0; row < h; row++)
    for (let column = 0; column < w; column++)
      blend(pixels, Math.round(x) + column, Math.round(y) + row, colour, 1)
}

export function drawGrid(pixels: Pixels, colour: Rgb, frame: Rgb): void {
  for (const decade of [10, 100, 1000, 10_000]) {
    for (let n = 1; n < 10; n++) {
      const frequencyHz = n * decade
      if (frequencyHz < PLOT.lowHz || frequencyHz > PLOT.highHz) continue
      fillBox(pixels, xOf(frequencyHz), PLOT.top, 1, PLOT.bottom - PLOT.top, colour)
    }
  }
  for (let levelDb = PLOT.lowDb; levelDb <= PLOT.highDb; levelDb += 5) {
    fillBox(pixels, PLOT.left, yOf(levelDb), PLOT.right - PLOT.left, 1, colour)
  }
  fillBox(pixels, PLOT.left, PLOT.top, 2, PLOT.bottom - PLOT.top, frame)
  fillBox(pixels, PLOT.left, PLOT.bottom, PLOT.right - PLOT.left + 2, 2, frame)
}

/** Digits of 3 by 5 boxes of two pixels. */
const DIGITS: Readonly<Record<string, string>> = {
  '0': '111101101101111',
  '1': '010110010010111',
  '2': '111001111100111',
  '5': '111100111001111',
  k: '101101110101101',
  '-': '000000111000000',
}

export function drawLabel(pixels: Pixels, text: string, x: number, y: number, colour: Rgb): void {
  let at = x
  for (const letter of text) {
    const dots = DIGITS[letter] ?? ''
    for (let i = 0; i < dots.length; i++) {
      if (dots[i] === '1') fillBox(pixels, at + 2 * (i % 3), y + 2 * Math.floor(i / 3), 2, 2, colour)
    }
    at += 8
  }
}

export function drawLabels(pixels: Pixels, colour: Rgb): void {
  for (const [text, hz] of [
    ['20', 20],
    ['50', 50],
    ['100', 100],
    ['1k', 1000],
    ['10k', 10_000],
    ['20k', 20_000],
  ] as const) {
    drawLabel(pixels, text, xOf(hz) - 8, PLOT.bottom + 12, colour)
  }
  for (const db of [-20, -10, 0, 10, 20]) drawLabel(pixels, String(db), PLOT.left - 40, yOf(db) - 5, colour)
}

/** An antialiased line through levelDb(f). */
export function drawCurve(
  pixels: Pixels,
  levelDb: (frequencyHz: number) => number,
  colour: Rgb,
  thickness: number,
  fromHz: number = PLOT.lowHz,
  toHz: number = PLOT.highHz,
): void {
  const cover = new Float32Array(pixels.width * pixels.height)
  const logWidth = Math.log(PLOT.highHz / PLOT.lowHz) / (PLOT.right - PLOT.left)
  // Dots along the line, close enough to overlap.
  for (let x = xOf(fromHz); x <= xOf(toHz); x += 0.1) {
    const y = yOf(levelDb(PLOT.lowHz * Math.exp((x - PLOT.left) * logWidth)))
    const reach = thickness / 2 + 1
    for (let row = Math.floor(y - reach); row <= y + reach; row++) {
      for (let column = Math.floor(x - reach); column <= x + reach; column++) {
        if (row < 0 || column < 0 || row >= pixels.height || column >= pixels.width) continue
        const away = Math.hypot(column + 0.5 - x, row + 0.5 - y)
        const at = row * pixels.width + column
        cover[at] = Math.max(cover[at], Math.min(1, Math.max(0, thickness / 2 + 0.5 - away)))
      }
    }
  }
  for (let at = 0; at < cover.length; at++) {
    blend(pixels, at % pixels.width, Math.floor(at / pixels.width), colour, cover[at])
  }
}

/** Quantisation of luminance and chrominance, ITU-T T.81 (1992), annex K, tables K.1 and K.2. */
// biome-ignore format: tables as printed
const LUMINANCE = [
  16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56,
  14, 17, 22, 29, 51, 87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92,
  49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
]
// biome-ignore format: tables as printed
const CHROMINANCE = [
  17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99,
  47, 66, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
  99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
]
const COSINES = Float64Array.from({ length: 64 }, (_, i) => {
  const u = i >> 3
  return (u === 0 ? Math.SQRT1_2 : 1) * 0.5 * Math.cos(((2 * (i & 7) + 1) * u * Math.PI) / 16)
})

/** The loss of JPEG without its coding: blocks of 8 by 8, colour at half the resolution. */
export function coarsen(pixels: Pixels, scale: number): Pixels {
  const { width, height, data } = pixels
  const planes = [0, 1, 2].map(() => new Float64Array(width * height))
  for (let i = 0; i < width * height; i++) {
    const [r, g, b] = data.subarray(4 * i, 4 * i + 3)
    planes[0][i] = 0.299 * r + 0.587 * g + 0.114 * b
    planes[1][i] = -0.168736 * r - 0.331264 * g + 0.5 * b
    planes[2][i] = 0.5 * r - 0.418688 * g - 0.081312 * b
  }
  const coarse = [
    coarsenPlane(planes[0], width, height, LUMINANCE, scale),
    ...planes.slice(1).map((plane) => {
      const w = width >> 1
      const h = height >> 1
      const half = Float64Array.from({ length: w * h }, (_, i) => {
        const at = 2 * Math.floor(i / w) * width + 2 * (i % w)
        return (plane[at] + plane[at + 1] + plane[at + width] + plane[at + width + 1]) / 4
      })
      const done = coarsenPlane(half, w, h, CHROMINANCE, scale)
      return Float64Array.from(
        { length: width * height },
        (_, i) => done[Math.min(h - 1, Math.floor(i / width) >> 1) * w + Math.min(w - 1, (i % width) >> 1)],
      )
    }),
  ]
  const out = new Uint8ClampedArray(data.length)
  for (let i = 0; i < width * height; i++) {
    const [y, cb, cr] = coarse.map((plane) => plane[i])
    out.set([y + 1.402 * cr, y - 0.344136 * cb - 0.714136 * cr, y + 1.772 * cb, 255], 4 * i)
  }
  return { width, height, data: out }
}

function coarsenPlane(
  plane: Float64Array,
  width: number,
  height: number,
  table: number[],
  scale: number,
): Float64Array {
  const out = Float64Array.from(plane)
  const block = new Float64Array(64)
  const rows = new Float64Array(64)
  const turn = (from: Float64Array, to: Float64Array, isBack: boolean): void => {
    for (let u = 0; u < 8; u++) {
      for (let k = 0; k < 8; k++) {
        let sum = 0
        for (let i = 0; i < 8; i++) sum += from[8 * k + i] * COSINES[isBack ? 8 * i + u : 8 * u + i]
        to[8 * u + k] = sum
      }
    }
  }
  for (let top = 0; top + 8 <= height; top += 8) {
    for (let left = 0; left + 8 <= width; left += 8) {
      for (let i = 0; i < 64; i++) block[i] = plane[(top + (i >> 3)) * width + left + (i & 7)] - 128
      turn(block, rows, false)
      turn(rows, block, false)
      for (let i = 0; i < 64; i++) {
        const step = Math.max(1, table[i] * scale)
        block[i] = Math.round(block[i] / step) * step
      }
      turn(block, rows, true)
      turn(rows, block, true)
      for (let i = 0; i < 64; i++) out[(top + (i >> 3)) * width + left + (i & 7)] = block[i] + 128
    }
  }
  return out
}

// Colours in Oklab, where distances match perceived differences.
// Source: B. Ottosson, "A perceptual color space for image processing", 2020 (matrices
// quoted from memory); sRGB transfer function from IEC 61966-2-1.

/** Pixels as a canvas returns them: RGBA bytes, rows from the top. */
export interface Pixels {
  readonly width: number
  readonly height: number
  readonly data: Uint8ClampedArray
}

/** Lightness 0 to 1, then the two colour axes, about -0.3 to 0.3. */
export type Lab = readonly [l: number, a: number, b: number]

const LINEAR = Float64Array.from({ length: 256 }, (_, byte) => {
  const share = byte / 255
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
})

/** Colour of a pixel in Oklab; transparent pixels are composited over white. */
export function labAt({ data, width }: Pixels, x: number, y: number): Lab {
  const at = 4 * (y * width + x)
  const cover = data[at + 3]! / 255
  const over = (byte: number): number => LINEAR[Math.round(byte * cover + 255 * (1 - cover))]!
  const r = over(data[at]!)
  const g = over(data[at + 1]!)
  const b = over(data[at + 2]!)
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b)
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b)
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b)
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ]
}

/** Euclidean distance; black to white is 1. */
export const labDistance = (p: Lab, q: Lab): number => Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2])

/** The most frequent colour within `reach` pixels: the background. */
export function paperAround(pixels: Pixels, x: number, y: number, reach: number): Lab {
  const counts = new Map<number, { count: number; x: number; y: number }>()
  const step = Math.max(1, Math.floor(reach / 60))
  for (let row = Math.max(0, y - reach); row <= Math.min(pixels.height - 1, y + reach); row += step) {
    for (
      let column = Math.max(0, x - reach);
      column <= Math.min(pixels.width - 1, x + reach);
      column += step
    ) {
      const at = 4 * (row * pixels.width + column)
      const { data } = pixels
      const key = ((data[at]! >> 4) << 8) | ((data[at + 1]! >> 4) << 4) | (data[at + 2]! >> 4)
      const seen = counts.get(key)
      if (seen === undefined) counts.set(key, { count: 1, x: column, y: row })
      else seen.count++
    }
  }
  let most = { count: 0, x, y }
  for (const seen of counts.values()) if (seen.count > most.count) most = seen
  return labAt(pixels, most.x, most.y)
}

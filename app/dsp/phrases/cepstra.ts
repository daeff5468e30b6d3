// What is said, apart from who says it how loud on which mic: 12 cepstral coefficients of mel bands per frame. Bands are
// held at a little over their floor, so that silence is the same everywhere; without the 0th coefficient the level
// drops out; mean and deviation over the frames with voice take out the mic.
// Source: Davis and Mermelstein, IEEE TASSP 28(4), 1980 (the coefficients); mean normalisation after Atal, JASA 55, 1974.

export const CEPSTRA = 12
const OVER_FLOOR_DB = 6
/** The quietest frames of a band are its floor, but none further than this under its loud ones. */
const FLOOR_QUANTILE = 0.05
const LOUD_QUANTILE = 0.95
const DEEPEST_DB = 50

/**
 * CEPSTRA values per frame of unit deviation.
 * @param mel mean squares, `bands` per frame
 * @param isActive whether there is voice in a frame
 */
export function cepstraOf(
  mel: Float64Array,
  bands: number,
  isActive: (frame: number) => boolean,
): Float64Array {
  const frames = Math.floor(mel.length / bands)
  const levels = clampedLevels(mel, bands, frames)
  const turns = Float64Array.from({ length: CEPSTRA * bands }, (_, i) => {
    const order = Math.floor(i / bands) + 1
    return Math.cos((Math.PI * order * ((i % bands) + 0.5)) / bands)
  })
  const out = new Float64Array(frames * CEPSTRA)
  for (let t = 0; t < frames; t++) {
    for (let c = 0; c < CEPSTRA; c++) {
      let sum = 0
      for (let b = 0; b < bands; b++) sum += turns[c * bands + b] * levels[t * bands + b]
      out[t * CEPSTRA + c] = sum
    }
  }
  normalise(out, CEPSTRA, frames, isActive)
  return out
}

function clampedLevels(mel: Float64Array, bands: number, frames: number): Float64Array {
  const levels = new Float64Array(frames * bands)
  const sorted = new Float64Array(frames)
  for (let b = 0; b < bands; b++) {
    for (let t = 0; t < frames; t++) {
      const level = 10 * Math.log10(mel[t * bands + b] + 1e-20)
      levels[t * bands + b] = level
      sorted[t] = level
    }
    sorted.sort()
    const floor = sorted[Math.floor(FLOOR_QUANTILE * (frames - 1))] + OVER_FLOOR_DB
    const least = Math.max(floor, sorted[Math.floor(LOUD_QUANTILE * (frames - 1))] - DEEPEST_DB)
    for (let t = 0; t < frames; t++) {
      if (levels[t * bands + b] < least) levels[t * bands + b] = least
    }
  }
  return levels
}

/** In place: each of `width` values per frame gets mean 0 and deviation 1 over the active frames. */
function normalise(
  values: Float64Array,
  width: number,
  frames: number,
  isActive: (frame: number) => boolean,
): void {
  for (let c = 0; c < width; c++) {
    let count = 0
    let sum = 0
    let squares = 0
    for (let t = 0; t < frames; t++) {
      if (!isActive(t)) continue
      const value = values[t * width + c]
      count++
      sum += value
      squares += value * value
    }
    const mean = count > 0 ? sum / count : 0
    const deviation = count > 1 ? Math.sqrt(Math.max(1e-9, squares / count - mean * mean)) : 1
    for (let t = 0; t < frames; t++) values[t * width + c] = (values[t * width + c] - mean) / deviation
  }
}

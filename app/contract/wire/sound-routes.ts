// Where sound and pictures of sound are asked for, and how they come. Without the schemas, so
// that the audio thread, which needs these names alone, does not load a parser.

/** A chunk of playback is planar Float32, little-endian, in this order. */
export const PLAYBACK_CHANNELS = ['dry left', 'dry right', 'processed left', 'processed right'] as const

/** Path of the route that gives `frames` frames from `fromFrame`. */
export const playbackRoute = (playbackId: string, fromFrame: number, frames: number): string =>
  `/playback/${playbackId}/${fromFrame}/${frames}`

/**
 * Path of a take's stored peaks: Int16 pairs of minimum and maximum, channel after channel,
 * little-endian; headers `x-channels` and `x-frames-per-peak`.
 */
export const peaksRoute = (takeId: number): string => `/peaks/${takeId}`

/** Path that takes the bytes of a dropped file (PUT) and answers `{ "path": … }` for importTakes. */
export const incomingRoute = (fileName: string): string => `/incoming/${encodeURIComponent(fileName)}`

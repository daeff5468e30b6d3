// Routes for sound and waveform peaks, and the format of the responses. Does not import the schemas, so that
// the audio worklet, which needs only these names, does not load zod.

/** Channels of a span of playback, in order; planar Float32, little-endian. */
export const PLAYBACK_CHANNELS = ['dry left', 'dry right', 'processed left', 'processed right'] as const

/** Path of `frames` frames of a playback, starting at `fromFrame`. */
export const playbackRoute = (playbackId: string, fromFrame: number, frames: number): string =>
  `/playback/${playbackId}/${fromFrame}/${frames}`

/**
 * Path of a take's stored peaks: little-endian Int16 pairs of minimum and maximum, channel after channel,
 * with the headers `x-channels` and `x-frames-per-peak`.
 */
export const peaksRoute = (takeId: number): string => `/peaks/${takeId}`

/** Path of one joint's rows along the song: little-endian Float32, as `unpackRows` reads them; 404 if they are gone. */
export const rowsRoute = (key: string): string => `/rows/${key}`

/** Path to PUT the bytes of a dropped file to; the answer is `{ "path": … }` for importTakes. */
export const incomingRoute = (fileName: string): string => `/incoming/${encodeURIComponent(fileName)}`

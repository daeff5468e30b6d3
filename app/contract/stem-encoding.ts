// What a stem may be written as.

/** 24-bit words with dither, or 32-bit floats. */
export const STEM_ENCODINGS = ['pcm-24', 'float-32'] as const

// Sample formats of stems.

/** 24-bit PCM with dither, or 32-bit float. */
export const STEM_ENCODINGS = ['pcm-24', 'float-32'] as const

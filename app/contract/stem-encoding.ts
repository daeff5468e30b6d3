// What a stem may be written as.

export const STEM_ENCODINGS = ['pcm-24', 'float-32'] as const

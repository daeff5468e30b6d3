// Limits of exchanged histories, with their reasons. Sizes are checked while a file is read.

/** Entries of one file: a voice has a few dozen curves and pictures. */
export const MAX_HISTORY_FILES = 2000
/** One entry: the largest picture that a curve is traced from. */
export const MAX_HISTORY_ENTRY_BYTES = 64 * 1024 * 1024
/** A whole file is unpacked in memory. */
export const MAX_HISTORY_BYTES = 256 * 1024 * 1024
/** Records of one kind: more takes than a voice sings in twenty years. */
export const MAX_RECORDS = 100_000
/** Known values of one entity: names and notes seldom change. */
export const MAX_STATES = 1000
/** A version is edited from one other, or joins two. */
export const MAX_PARENTS = 2
/** Facts of 10,000 takes with the analysis of their voice. */
export const MAX_HISTORY_VALUES = 4_000_000

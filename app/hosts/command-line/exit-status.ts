// What the command line's exit status means; 0 is done.

/** A verification found stems that differ. Nothing else ends with it. */
export const DIFFERS = 1
/** The input or the call cannot be used, the act was cancelled, or the program failed. */
export const NOT_USABLE = 2

// Type of the progress callback of long work.

/**
 * Progress callback for long work: called with the fraction done. It may throw to stop the work, and its
 * promise is awaited, so that work on a busy thread can yield.
 */
export type OnProgress = (fraction: number) => void | Promise<void>

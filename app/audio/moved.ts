// How long work tells how far it is.

/**
 * Hears the fraction done, from span to span. Throws to stop the work; what it promises is waited
 * for, so that work on a thread that has other duties can make pauses for them.
 */
export type Moved = (fraction: number) => void | Promise<void>

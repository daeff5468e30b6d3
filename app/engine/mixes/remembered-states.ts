// Saved states of a running pass at known frames, so that playback can start there without running
// everything before: exact states, and, after a setting has changed, those of the earlier settings,
// which are approximate but far better than silence.

type Memory = readonly Float64Array[]

/** All state of a mix at one session frame. */
export interface RememberedState {
  readonly frame: number
  readonly memory: Memory
}

/** Copies every array. */
export function copyMemory(memory: Memory): Memory {
  return memory.map((array) => array.slice())
}

/** Fills `memory` from `saved`, array by array. */
export function restoreMemory(memory: Memory, saved: Memory): void {
  for (let k = 0; k < memory.length; k++) memory[k].set(saved[k])
}

/** Whether a state saved under other settings fits: the same stages with delays of the same length. */
export function fitsMemory(memory: Memory, saved: Memory): boolean {
  return memory.length === saved.length && memory.every((array, k) => array.length === saved[k].length)
}

/** The latest state at or before a frame, the last one among equals; undefined where there is none. */
export function latestStateBefore(
  states: Iterable<RememberedState>,
  frame: number,
): RememberedState | undefined {
  let latest: RememberedState | undefined
  for (const state of states) {
    if (state.frame <= frame && (latest === undefined || state.frame >= latest.frame)) latest = state
  }
  return latest
}

// Jobs of which one waits for the other.

/**
 * Runs jobs under one signal: when one fails, the others are cancelled too, instead of waiting for it.
 * @param start starts the jobs with that signal
 */
export async function runTogether<T>(
  signal: AbortSignal,
  start: (signal: AbortSignal) => Promise<T>,
): Promise<T> {
  const failing = new AbortController()
  try {
    return await start(AbortSignal.any([signal, failing.signal]))
  } catch (error) {
    failing.abort()
    throw error
  }
}

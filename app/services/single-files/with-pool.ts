// A pool for the duration of one act, closed in any case.

import { createPool, type Pool } from '../../workers/pool.ts'

/** Runs `act` with threads of its own, which end with it. */
export async function withPool<T>(act: (pool: Pool) => Promise<T>): Promise<T> {
  const pool = createPool()
  try {
    return await act(pool)
  } finally {
    await pool.close()
  }
}

// Runs an act with a pool that is closed in any case.

import { createPool, type Pool } from '../../workers/pool.ts'

/** Runs `act` with its own threads, which end when it does. */
export async function withPool<T>(act: (pool: Pool) => Promise<T>): Promise<T> {
  const pool = createPool()
  try {
    return await act(pool)
  } finally {
    await pool.close()
  }
}

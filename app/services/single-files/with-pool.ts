// A pool for the length of one act, closed whatever happens.

import { createPool, type Pool } from '../../workers/pool.ts'

export async function withPool<T>(act: (pool: Pool) => Promise<T>): Promise<T> {
  const pool = createPool()
  try {
    return await act(pool)
  } finally {
    await pool.close()
  }
}

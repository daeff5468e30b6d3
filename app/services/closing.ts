// A pool or a workplace for the length of one act, closed whatever happens.

import { createPool, type Pool } from '../workers/pool.ts'
import { openWorkplace, type Workplace } from './workplace.ts'

export async function withPool<T>(act: (pool: Pool) => Promise<T>): Promise<T> {
  const pool = createPool()
  try {
    return await act(pool)
  } finally {
    await pool.close()
  }
}

/** @param catalogue path of the catalogue; made where there is none */
export async function withWorkplace<T>(
  catalogue: string,
  act: (workplace: Workplace) => Promise<T>,
): Promise<T> {
  const workplace = openWorkplace(catalogue)
  try {
    return await act(workplace)
  } finally {
    await workplace.close()
  }
}

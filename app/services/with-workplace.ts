// A workplace for the length of one act, closed whatever happens.

import { openWorkplace, type Workplace } from './workplace.ts'

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

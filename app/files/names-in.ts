// Lists a folder that may be missing.

import { readdirSync } from 'node:fs'

/** Names of what is in `folder`; none where it does not exist or cannot be read. */
export function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}

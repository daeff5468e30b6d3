// What every shell answers its window's requests with: sound and outlines, otherwise the window's
// files, always isolated, so that the window is the same wherever it runs.

import { createSoundRoutes } from '../services/sound-routes.ts'
import { readWindowFile } from '../services/window-files.ts'
import type { Workplace } from '../services/workplace.ts'

/** Isolation gives the window shared memory, and keeps whatever else is open out of it. */
const ISOLATION_HEADERS = {
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-embedder-policy': 'require-corp',
  'cross-origin-resource-policy': 'same-origin',
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
} as const

export type WindowAnswers = (request: Request) => Promise<Response>

export function createWindowAnswers(workplace: Workplace): WindowAnswers {
  const soundRoutes = createSoundRoutes(workplace)
  return async (request) => {
    const answer = (await soundRoutes(request)) ?? (await readWindowFile(request))
    for (const [name, value] of Object.entries(ISOLATION_HEADERS)) answer.headers.set(name, value)
    return answer
  }
}

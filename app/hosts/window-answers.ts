// Answers the requests of a window's page in every host: sound, outlines, takes and pictures, otherwise the
// window's files, always with the same isolation headers.

import { createSoundRoutes } from '../services/takes/sound-routes.ts'
import { readWindowFile } from '../services/window-files.ts'
import type { Workplace } from '../services/workplace.ts'

/** Cross-origin isolation gives the window shared memory and protects it from other pages. */
const ISOLATION_HEADERS = {
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-embedder-policy': 'require-corp',
  'cross-origin-resource-policy': 'same-origin',
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
} as const

/** Answers one request of a window’s page. */
export type WindowAnswers = (request: Request) => Promise<Response>

/** For one workplace; every answer has the headers that isolate the page. */
export function createWindowAnswers(workplace: Workplace): WindowAnswers {
  const soundRoutes = createSoundRoutes(workplace)
  return isolated(async (request) => (await soundRoutes(request)) ?? (await readWindowFile(request)))
}

const isolated =
  (answerOf: WindowAnswers): WindowAnswers =>
  async (request) => {
    const answer = request.method === 'HEAD' ? await headOf(request, answerOf) : await answerOf(request)
    for (const [name, value] of Object.entries(ISOLATION_HEADERS)) answer.headers.set(name, value)
    return answer
  }

/** Answers with the window's files only, which contain nothing of any catalogue. */
export const answerWindowFile: WindowAnswers = isolated(readWindowFile)

/** Status and headers of a GET, without its body (RFC 9110, 9.3.2). */
async function headOf({ url }: Request, answerOf: WindowAnswers): Promise<Response> {
  const { status, headers, body } = await answerOf(new Request(url))
  await body?.cancel()
  return new Response(null, { status, headers })
}

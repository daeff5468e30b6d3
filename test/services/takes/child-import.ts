// A program of its own that imports files into a session: CATALOGUE SESSION FILE…

import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'

const [catalogue, sessionId, ...paths] = process.argv.slice(2)
const workplace = openWorkplace(catalogue)
const outcome = await createHandlers(workplace).importTakes(
  {
    sessionId: Number(sessionId),
    files: paths.map((path) => ({ path })),
    voiceId: null,
    micId: null,
    curveId: null,
  },
  { signal: new AbortController().signal, report: () => {} },
)
await workplace.close()
process.stdout.write(
  JSON.stringify({
    takes: outcome.takes.length,
    refused: outcome.refused.map(({ failure }) => failure.message),
  }),
)

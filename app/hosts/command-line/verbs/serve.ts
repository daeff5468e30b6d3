// takeloft serve

import { type Command, InvalidArgumentError } from 'commander'
import { failureDataOf } from '../../../contract/failure.ts'
import { homeCataloguePath } from '../../home-catalogue.ts'
import { serveWindow } from '../../loopback/serve-window.ts'
import { portNumberOf } from '../../port-number.ts'
import { NOT_USABLE } from '../exit-status.ts'
import { leaveErrorsToHost, printResult, say, stopSignal } from '../talk.ts'

export function addServeVerb(program: Command): void {
  program
    .command('serve')
    .description('the window in an ordinary browser on this machine; prints its address')
    .option('--catalogue <file>', 'the catalogue; the one in your user folder when nothing is said')
    .option('--port <number>', 'port on 127.0.0.1; any free one when nothing is said', portNumber, 0)
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, port, json }: { catalogue?: string; port: number; json?: true }) => {
      const { address, end } = await serveWindow({
        catalogue: catalogue ?? homeCataloguePath(),
        port,
        log: say,
        signal: stopSignal,
        onBroken: () => {
          process.exitCode = NOT_USABLE
        },
      })
      leaveErrorsToHost()
      printResult(json, { address }, [address])
      say('Only this machine can open it, with this address, in one browser. Ctrl+C ends it.')
      // Until somebody ends it, which is how it is done.
      await untilStopped()
      await end()
    })
}

const untilStopped = (): Promise<void> =>
  new Promise((resolve) => {
    if (stopSignal.aborted) resolve()
    stopSignal.addEventListener('abort', () => resolve())
  })

function portNumber(text: string): number {
  try {
    return portNumberOf(text)
  } catch (error) {
    throw new InvalidArgumentError(failureDataOf(error).message)
  }
}

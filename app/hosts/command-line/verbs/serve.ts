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
    .description('serve the window to a browser on this machine and print its address')
    .option('--catalogue <file>', 'the catalogue; by default the one in your user folder')
    .option('--port <number>', 'port on 127.0.0.1; by default any free one', portNumber, 0)
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
      // Serving ends when the user interrupts it.
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

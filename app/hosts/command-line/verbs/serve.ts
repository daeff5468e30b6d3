// takeloft serve

import { type Command, InvalidArgumentError } from 'commander'
import { cancelledFailure, failureDataOf } from '../../../contract/failure.ts'
import { buildWindowIfNeeded } from '../../../scripts/build-window.ts'
import { openWorkplace } from '../../../services/workplace.ts'
import { homeCataloguePath } from '../../home-catalogue.ts'
import { keepServing } from '../../last-resort.ts'
import { startLoopbackHost } from '../../loopback/loopback-host.ts'
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
      await buildWindowIfNeeded(say)
      if (stopSignal.aborted) throw cancelledFailure()
      const workplace = openWorkplace(catalogue ?? homeCataloguePath())
      const host = await startLoopbackHost(workplace, { port, log: say })
      const end = async (): Promise<void> => {
        await host.close()
        await workplace.close()
      }
      leaveErrorsToHost()
      keepServing({
        log: say,
        end: () => {
          process.exitCode = NOT_USABLE
          return end()
        },
      })
      printResult(json, { address: host.address }, [host.address])
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

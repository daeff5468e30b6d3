// takeloft serve

import { type Command, InvalidArgumentError } from 'commander'
import { openWorkplace } from '../../../services/workplace.ts'
import { buildWindowIfNeeded } from '../../build-window.ts'
import { homeCataloguePath } from '../../home-catalogue.ts'
import { keepServing } from '../../last-resort.ts'
import { startLoopbackHost } from '../../loopback/loopback-host.ts'
import { NOT_USABLE } from '../exit-status.ts'
import { printResult, say } from '../talk.ts'

export function addServeVerb(program: Command): void {
  program
    .command('serve')
    .description('the window in an ordinary browser on this machine; prints its address')
    .option('--catalogue <file>', 'the catalogue; the one in your user folder when nothing is said')
    .option('--port <number>', 'port on 127.0.0.1; any free one when nothing is said', portNumber, 0)
    .option('--json', 'print one JSON document')
    .action(async ({ catalogue, port, json }: { catalogue?: string; port: number; json?: true }) => {
      await buildWindowIfNeeded(say)
      const workplace = openWorkplace(catalogue ?? homeCataloguePath())
      const host = await startLoopbackHost(workplace, { port, log: say })
      const end = async (): Promise<void> => {
        await host.close()
        await workplace.close()
      }
      keepServing({
        log: say,
        end: () => {
          process.exitCode = NOT_USABLE
          return end()
        },
      })
      printResult(json, { address: host.address }, [host.address])
      say('Only this machine can open it, with this address, in one browser. Ctrl+C ends it.')
      process.once('SIGINT', () => void end())
      process.once('SIGTERM', () => void end())
    })
}

function portNumber(text: string): number {
  const port = Number(text)
  if (!Number.isInteger(port) || port < 0 || port > 65_535) {
    throw new InvalidArgumentError('a port is a whole number from 0 to 65535')
  }
  return port
}

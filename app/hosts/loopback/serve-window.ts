// Serves one catalogue's window to a browser on this machine: what `takeloft serve` and `npm start` share.

import { cancelledFailure } from '../../contract/failure.ts'
import { buildWindowIfNeeded } from '../../scripts/build-window.ts'
import { openWorkplace } from '../../services/workplace.ts'
import { keepServing } from '../last-resort.ts'
import { startLoopbackHost } from './loopback-host.ts'

export interface ServedWindow {
  /** URL with a one-time key. */
  readonly address: string
  /** Ends the host, then the catalogue's threads and file. */
  end(): Promise<void>
}

export interface WindowToServe {
  /** Absolute path of the catalogue. */
  readonly catalogue: string
  /** 0 for any free one. */
  readonly port: number
  readonly log: (message: string) => void
  /** If it is aborted while the window is being built, the catalogue is not opened. */
  readonly signal?: AbortSignal
  /** Called before the process ends because of repeated errors. */
  readonly onBroken?: () => void
}

/**
 * Builds the window if its sources have changed, opens the catalogue and serves both. From then on the
 * process survives uncaught errors (last-resort.ts).
 * @throws Failure of the build, the catalogue or the port; `cancelled` when the signal was aborted
 */
export async function serveWindow(asked: WindowToServe): Promise<ServedWindow> {
  const { catalogue, port, log, signal, onBroken } = asked
  await buildWindowIfNeeded(log)
  if (signal?.aborted) throw cancelledFailure()
  const workplace = openWorkplace(catalogue)
  const host = await startLoopbackHost(workplace, { port, log })
  const end = async (): Promise<void> => {
    await host.close()
    await workplace.close()
  }
  keepServing({
    log,
    end: () => {
      onBroken?.()
      return end()
    },
  })
  return { address: host.address, end }
}

// Shows that the connection to the services is lost, and offers a reload.

import { Button } from '../parts/button.tsx'
import { useConnectionLost } from '../state/connection.ts'

export function ConnectionLost() {
  if (!useConnectionLost()) return null
  return (
    <div className="connection-lost" role="alert">
      <span>
        The connection to Takeloft was lost. Saved work is safe; check that Takeloft is running, then reload.
      </span>
      <Button onPress={() => window.location.reload()}>Reload</Button>
    </div>
  )
}

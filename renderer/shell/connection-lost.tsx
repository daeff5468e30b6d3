// Says that the services are gone, and offers the one thing that helps.

import { Button } from '../parts/button.tsx'
import { useConnectionLost } from '../state/connection.ts'

export function ConnectionLost() {
  if (!useConnectionLost()) return null
  return (
    <div className="connection-lost" role="alert">
      <span>
        The connection to Takeloft has ended. What was saved is safe; check that Takeloft still runs, then
        reload.
      </span>
      <Button onPress={() => window.location.reload()}>Reload</Button>
    </div>
  )
}

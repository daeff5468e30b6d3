// Renders a bounce again and says whether the bytes are the same.

import { useState } from 'react'
import type { Verification } from '../../app/contract/commands.ts'
import { Button } from '../parts/button.tsx'
import { countOf } from '../parts/format.ts'
import { client } from '../state/connection.ts'
import { runLongAct } from '../state/notices.ts'
import './bounce-files.css'

export function VerifyBounce({ manifestPath, name }: { manifestPath: string; name: string }) {
  const [isBusy, setBusy] = useState(false)
  const [verification, setVerification] = useState<Verification | null>(null)

  const verify = async (): Promise<void> => {
    setBusy(true)
    setVerification(null)
    const found = await runLongAct(`Verifying ${name}`, (options) =>
      client.verifyBounce({ manifestPath }, options),
    )
    setVerification(found ?? null)
    setBusy(false)
  }

  return (
    <div className="verify-bounce">
      <Button aria-label={`Verify ${name}`} onPress={() => void verify()} isDisabled={isBusy}>
        {isBusy ? 'Verifying' : 'Verify'}
      </Button>
      <div role="status" className="verify-bounce-says">
        {verification === null ? null : verification.differing.length === 0 ? (
          <span>The same: {countOf(verification.same.length, 'stem')}, byte for byte.</span>
        ) : (
          verification.differing.map(({ stem, reason }) => (
            <p key={stem} className="verify-bounce-differs">
              {stem} differs: {reason}
            </p>
          ))
        )}
      </div>
    </div>
  )
}

// A caution about listening level and time, available in every place.

import { useState } from 'react'
import { Button } from '../parts/button.tsx'
import { Dialog, DialogButtons } from '../parts/dialog.tsx'

/** The short form, for the start page. */
export const HEARING_NOTE =
  'Protect your hearing: NIOSH recommends at most 85 dBA for 8 hours a day, and half the time for every 3 dB more. Start low; playback starts at −20 dB.'

export function HearingCaution() {
  const [isOpen, setOpen] = useState(false)
  return (
    <>
      <Button look="plain" onPress={() => setOpen(true)}>
        Hearing
      </Button>
      <Dialog title="Protect your hearing" isOpen={isOpen} onClose={() => setOpen(false)}>
        <p>
          Long, loud listening causes permanent hearing damage. NIOSH recommends at most 85 dBA for 8 hours a
          day, and half the time for every 3 dB more: 4 hours at 88 dBA, 15 minutes at 100 dBA. For
          headphones, ITU-T H.870 defines a weekly dose.
        </p>
        <p>
          Takeloft starts playback at −20 dB, fades when it switches, and limits its output. It cannot measure
          the level in your room or headphones; use a sound level meter. Local regulations take precedence.
        </p>
        <DialogButtons>
          <Button look="main" onPress={() => setOpen(false)}>
            Close
          </Button>
        </DialogButtons>
      </Dialog>
    </>
  )
}

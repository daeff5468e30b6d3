// The usual caution about listening level and time, one press away in every place.

import { useState } from 'react'
import { Button } from '../parts/button.tsx'
import { Dialog, DialogButtons } from '../parts/dialog.tsx'

/** The short form, for the start page. */
export const HEARING_NOTE =
  'Mind your ears: 85 dBA for eight hours a day is the recommended limit of NIOSH, and every 3 dB more halves the time. Start low; playback here starts at −20 dB.'

export function HearingCaution() {
  const [isOpen, setOpen] = useState(false)
  return (
    <>
      <Button look="plain" onPress={() => setOpen(true)}>
        Hearing
      </Button>
      <Dialog title="Mind your ears" isOpen={isOpen} onClose={() => setOpen(false)}>
        <p>
          Long and loud listening damages hearing for good. NIOSH recommends at most 85 dBA for 8 hours a day,
          and half the time for every 3 dB more: 4 hours at 88 dBA, 15 minutes at 100 dBA. For headphones,
          ITU-T H.870 counts a weekly dose.
        </p>
        <p>
          Takeloft starts playback at −20 dB, switches by fades and keeps a ceiling on its output. It cannot
          know how loud your room or your headphones are: only a sound level meter tells. Local rules come
          first.
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

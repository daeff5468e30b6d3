// The dialog of the exchange of voices, while one is open; several pages open it.

import { closeExchange, useExchangeDialog } from '../../state/exchange-dialog.ts'
import { ExportVoiceDialog } from './export-voice-dialog.tsx'
import { ImportVoiceDialog } from './import-voice-dialog.tsx'

export function ExchangeDialogs() {
  const open = useExchangeDialog()
  if (open === null) return null
  return open.is === 'import' ? (
    <ImportVoiceDialog onClose={closeExchange} />
  ) : (
    <ExportVoiceDialog {...open} onClose={closeExchange} />
  )
}

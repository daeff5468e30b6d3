// Above the stack of an artist who returned: what was taken over and carried, and the soundcheck of the first take.

import { useQuery } from '@tanstack/react-query'
import type { SessionContents } from '../../../app/contract/entities.ts'
import type { Failure } from '../../../app/contract/failure.ts'
import type { SoundcheckResult } from '../../../app/contract/voice-analysis.ts'
import { notEnoughHistory, soundcheckSentences } from '../../../app/words/soundcheck.ts'
import { dismissReturnReport, useReturnReport } from '../../acts/return-acts.ts'
import { leadTakeOf } from '../../formats/recall/returning.ts'
import { asRead } from '../../formats/voice/voice-words.ts'
import { Button } from '../../parts/button.tsx'
import { CloseSign } from '../../parts/signs.tsx'
import { goTo, selectTake } from '../../state/selection.ts'
import { setVoiceView, showVoice } from '../../state/voice-desk.ts'
import { soundcheckQuery } from '../voice/voice-queries.ts'
import './returns.css'

/** Nothing in a session that no return began, and once it was dismissed. */
export function ReturnLine({ contents }: { contents: SessionContents }) {
  const { id: sessionId } = contents.session
  const report = useReturnReport(sessionId)
  const take = leadTakeOf(contents)
  const isWanted = report !== null && take !== undefined
  const check = useQuery({ ...soundcheckQuery(take?.id ?? 0), enabled: isWanted })
  if (!isWanted) return null
  const open = (): void => {
    selectTake(take.id)
    setVoiceView('soundcheck')
    showVoice('intake', true)
    goTo('intake')
  }
  return (
    <section className="return-line" aria-label="As before">
      <ul>
        {report.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
        <li>
          {check.error === null ? `Soundcheck of ${take.name}: ` : 'Soundcheck: '}
          {checkWords(check)}{' '}
          <Button look="plain" onPress={open}>
            Open soundcheck
          </Button>
        </li>
      </ul>
      <Button look="sign" aria-label="Close" onPress={() => dismissReturnReport(sessionId)}>
        <CloseSign />
      </Button>
    </section>
  )
}

interface Check {
  readonly data: SoundcheckResult | undefined
  readonly error: Failure | null
}

function checkWords({ data, error }: Check): string {
  if (error !== null) return asRead(error.message)
  if (data === undefined) return 'listening…'
  if (data.outcome === 'not-enough-history') return asRead(notEnoughHistory(data))
  const sentences = soundcheckSentences(data.measures)
  return sentences.length === 0
    ? 'everything is within this voice’s usual range.'
    : sentences.map(asRead).join(' ')
}

// The listening level: a slider and a field. A raise of more than 6 dB at once is asked about, because a
// typing error must not hurt; the audio thread then raises it slowly (ring-player.ts).

import { useState } from 'react'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { LOWEST_LEVEL_DB, type Player } from '../../playback/player.ts'

/** Raises beyond this are asked about. */
const MOST_UNASKED_DB = 6

const levelText = (levelDb: number): string =>
  levelDb <= LOWEST_LEVEL_DB ? 'silent' : withUnit(formatNumber(levelDb, 1), 'dB')

/** What the field says about its range; silence has a number there. */
const fieldText = (levelDb: number): string => withUnit(formatNumber(levelDb, 1), 'dB')

export function ListeningLevel({ player }: { player: Player }) {
  const { levelDb, setLevelDb } = player
  const [askedDb, setAskedDb] = useState<number | null>(null)
  const ask = (wantedDb: number): void => {
    if (wantedDb - levelDb > MOST_UNASKED_DB) setAskedDb(wantedDb)
    else setLevelDb(wantedDb)
  }
  const close = (): void => setAskedDb(null)

  return (
    <div className="transport-level">
      <input
        type="range"
        className="transport-fader"
        aria-label="Listening level"
        aria-valuetext={levelText(levelDb)}
        min={LOWEST_LEVEL_DB}
        max={0}
        step={0.5}
        value={levelDb}
        style={{ '--filled': `${(1 - levelDb / LOWEST_LEVEL_DB) * 100}%` } as React.CSSProperties}
        onChange={(event) => ask(Number(event.target.value))}
      />
      <NumberField
        className="transport-level-field"
        label="Listening level, typed"
        isLabelHidden
        value={levelDb}
        unit="dB"
        min={LOWEST_LEVEL_DB}
        max={0}
        isRangeRefused
        format={levelDb <= LOWEST_LEVEL_DB ? levelText : fieldText}
        onChange={ask}
      />
      {askedDb === null ? null : (
        <Dialog
          title={`Raise the listening level by ${withUnit(formatNumber(askedDb - levelDb, 1), 'dB')}?`}
          isOpen
          onClose={close}
        >
          <p>
            From {fieldText(levelDb)} to {fieldText(askedDb)}. The level rises by 10 dB a second, so that
            there is time to turn it down.
          </p>
          <DialogButtons>
            {/* Without autoFocus: the Enter that asked would press it. */}
            <Button onPress={close}>Keep {levelText(levelDb)}</Button>
            <Button
              look="main"
              onPress={() => {
                setLevelDb(askedDb)
                close()
              }}
            >
              Raise
            </Button>
          </DialogButtons>
        </Dialog>
      )}
    </div>
  )
}

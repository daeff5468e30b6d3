// The stages of a saved chain version with their settings in words.

import type { ChainVersion } from '../../../../app/contract/entities.ts'
import { settingsInWords } from '../../../../app/words/chain/settings-in-words.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatMoment } from '../../../../app/words/format.ts'

export const ChainSettings = ({ version }: { version: ChainVersion }) => (
  <div className="chain-settings">
    <p className="soft">
      Saved {formatMoment(version.createdAt)}
      {version.note === '' ? '.' : `: ${version.note}`}
    </p>
    <ol>
      {version.stages.map((stage, i) => (
        // A saved version never changes, so the index works as a key.
        // biome-ignore lint/suspicious/noArrayIndexKey: see above
        <li key={i}>
          <strong>
            {STAGE_NAMES[stage.kind]}
            {stage.on ? '' : ' (off)'}
          </strong>
          : {settingsInWords(stage).join('; ')}
        </li>
      ))}
    </ol>
  </div>
)

// takeloft demo DIR

import { join } from 'node:path'
import type { Command } from 'commander'
import { bounceSession } from '../../../services/bounces/bounce.ts'
import { buildDemo, DEMO_CATALOGUE } from '../../../services/demo/build-demo.ts'
import { withWorkplace } from '../../../services/with-workplace.ts'
import { createCallContext, printResult, say } from '../talk.ts'

export function addDemoVerb(program: Command): void {
  program
    .command('demo')
    .argument('<dir>', 'folder for the catalogue, its takes and its bounce')
    .description('build the demo: an invented artist, generated takes, a finished bounce')
    .option('--json', 'print one JSON document')
    .action(async (dir: string, { json }: { json?: true }) => {
      const catalogue = join(dir, DEMO_CATALOGUE)
      const { manifest } = await withWorkplace(catalogue, async (workplace) => {
        const context = createCallContext()
        const sessions = await buildDemo(workplace, context)
        return bounceSession(
          workplace,
          {
            sessionId: sessions[0],
            folder: join(dir, 'bounces', 'demo'),
            encoding: 'pcm-24',
            layerStems: true,
          },
          context,
        )
      })
      say('The demo’s artist, songs, microphones and curves are invented, and its voices are generated.')
      printResult(json, { catalogue, manifest }, [catalogue, manifest])
    })
}

// The suites' worker threads read stripped sources from the compile cache (strip-once.ts says why).

import { Worker } from 'node:worker_threads'
import { expect, it } from 'vitest'

/** Node's own TypeScript parser, as it stands in the list of its loaded modules. */
const PARSER = 'NativeModule internal/deps/amaro/dist/index'

/** Modules of Node that a thread has loaded after it has imported the source. */
const loadedBy = (source: URL): Promise<string[]> =>
  new Promise((resolve, reject) => {
    const code = `import(${JSON.stringify(source.href)}).then(() => require('node:worker_threads').parentPort.postMessage(process.moduleLoadList))`
    const worker = new Worker(code, { eval: true, workerData: {} })
    worker.on('error', reject)
    worker.on('message', (list: string[]) => {
      resolve(list)
      void worker.terminate()
    })
  })

it.each(['render-worker', 'chain-helper', 'playback-worker'])(
  '%s is loaded without a parser',
  async (name) => {
    expect(await loadedBy(new URL(`../../app/workers/${name}.ts`, import.meta.url))).not.toContain(PARSER)
  },
)

it('a source that no thread of the program loads needs the parser', async () => {
  expect(await loadedBy(new URL('../unharmed-takes.ts', import.meta.url))).toContain(PARSER)
})

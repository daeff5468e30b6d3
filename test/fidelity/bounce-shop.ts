// Real bounces for the figures: a catalogue in a folder of its own, sessions of any sounds in
// any groups, and the stems as they stand in their files.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { createWaveWriter } from '../../app/audio/wave/wave-writer.ts'
import type { ChainStages } from '../../app/contract/chain-document.ts'
import { type Manifest, parseManifest } from '../../app/contract/manifest.ts'
import type { CallContext } from '../../app/contract/wire/commands.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { processFile } from '../../app/services/single-files/process-file.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'

const CONTEXT: CallContext = { signal: new AbortController().signal, report: () => {} }

export interface PlacedSound {
  readonly name: string
  readonly channels: readonly Float64Array[]
  readonly encoding?: 'pcm-16' | 'pcm-24' | 'float-32'
  /** Name of the group it is placed in; its own name when nothing is said. */
  readonly group?: string
  readonly pan?: number
  readonly gainDb?: number
  readonly offsetSamples?: number
}

export interface BounceOrder {
  readonly sounds: readonly PlacedSound[]
  readonly stages: ChainStages
  readonly sharing?: 'own' | 'shared'
  readonly sampleRateHz?: 44_100 | 48_000 | 88_200 | 96_000
  readonly encoding?: 'pcm-24' | 'float-32'
  readonly layerStems?: boolean
}

export interface BouncedStem {
  readonly name: string
  readonly path: string
  readonly stem: Manifest['stems'][number]
  readonly channels: readonly Float64Array[]
}

export interface Bounced {
  readonly manifest: Manifest
  readonly stems: readonly BouncedStem[]
  /** Files of the takes, in the order of the sounds. */
  readonly takePaths: readonly string[]
  /** Stems that come out otherwise when the manifest is verified. */
  differing(): Promise<number>
}

export interface BounceShop {
  bounce(order: BounceOrder): Promise<Bounced>
  /** What `process` makes of a file with the chain, as 32-bit float. */
  process(path: string, stages: ChainStages): Promise<Float64Array[]>
}

/** Opens a shop, uses it, and leaves nothing behind. */
export async function withBounceShop<T>(use: (shop: BounceShop) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-fidelity-'))
  const workplace = openWorkplace(join(folder, 'catalogue.sqlite'), () => '2026-10-01T12:00:00.000Z')
  const handlers = createHandlers(workplace)
  const { catalogue } = workplace
  const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, CONTEXT)
  const voice = await handlers.createVoice({ artistId: artist.id, name: 'Voice', note: '' }, CONTEXT)
  let songs = 0

  async function bounce(order: BounceOrder): Promise<Bounced> {
    const {
      sounds,
      stages,
      sharing = 'own',
      sampleRateHz = 48_000,
      encoding = 'float-32',
      layerStems = false,
    } = order
    const song = `Song ${++songs}`
    const session = await handlers.createSession(
      {
        artistId: artist.id,
        songTitle: song,
        date: '2026-10-01',
        sampleRateHz,
        tempoBpm: null,
        beatsPerBar: 4,
        notes: '',
        panLaw: 'minus-3-db',
        startOfDayS: 0,
        chainSharing: sharing,
      },
      CONTEXT,
    )
    const { id: chainVersionId } = await handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: song, stages, note: '' },
      CONTEXT,
    )
    if (sharing === 'shared') {
      await handlers.updateSession(
        { id: session.id, changes: { sharedChainVersionId: chainVersionId } },
        CONTEXT,
      )
    }
    const takePaths: string[] = []
    for (const sound of sounds) {
      const path = join(folder, `${song} take ${takePaths.length + 1}.wav`)
      takePaths.push(path)
      const writer = createWaveWriter(path, {
        sampleRateHz,
        channels: sound.channels.length,
        encoding: sound.encoding ?? 'float-32',
        ditherSeed: null,
      })
      writer.write(sound.channels, sound.channels[0].length)
      writer.finish()
      const { takes, refused } = await handlers.importTakes(
        { sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
        CONTEXT,
      )
      if (refused.length > 0) throw new Error(refused[0].failure.message)
      const groupName = sound.group ?? sound.name
      const found = catalogue.groups.listOfSession(session.id).find((one) => one.name === groupName)
      const group =
        found ??
        (await handlers.createGroup(
          { sessionId: session.id, name: groupName, chainVersionId: null, gainDb: 0 },
          CONTEXT,
        ))
      // A session begins with groups that have no chain.
      if (sharing === 'own')
        await handlers.updateGroup({ id: group.id, changes: { chainVersionId } }, CONTEXT)
      await handlers.addLayer(
        {
          sessionId: session.id,
          groupId: group.id,
          takeId: takes[0].id,
          name: sound.name,
          role: 'lead',
          offsetSamples: sound.offsetSamples ?? 0,
          gainDb: sound.gainDb ?? 0,
          pan: sound.pan ?? 0,
          muted: false,
        },
        CONTEXT,
      )
    }
    const outcome = await handlers.bounceSession(
      { sessionId: session.id, folder: join(folder, `${song} stems`), encoding, layerStems },
      CONTEXT,
    )
    const manifest = parseManifest(JSON.parse(readFileSync(outcome.manifest, 'utf8')), outcome.manifest)
    return {
      manifest,
      takePaths,
      stems: manifest.stems.map((stem) => {
        const path = join(dirname(outcome.manifest), stem.file)
        return { name: stem.name, path, stem, channels: samplesOf(path) }
      }),
      async differing() {
        return (await handlers.verifyBounce({ manifestPath: outcome.manifest }, CONTEXT)).differing.length
      },
    }
  }

  try {
    return await use({
      bounce,
      async process(from, stages) {
        const place = mkdtempSync(join(folder, 'process-'))
        const chainPath = join(place, 'chain.json')
        const to = join(place, 'out.wav')
        writeFileSync(
          chainPath,
          JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'chain', stages }),
        )
        const curves = { micCurvePath: undefined, targetCurvePath: undefined }
        await processFile({ from, to, chainPath, ...curves, encoding: 'float-32' }, CONTEXT)
        return samplesOf(to)
      },
    })
  } finally {
    checkTakesUnharmed(catalogue.path)
    await workplace.close()
    rmSync(folder, { recursive: true, force: true })
  }
}

function samplesOf(path: string): Float64Array[] {
  const audio = openAudioFile(path)
  const { channels, frames } = audio.format
  const into = Array.from({ length: channels }, () => new Float64Array(frames))
  audio.read(0, frames, into)
  audio.close()
  return into
}

/** Bytes of the data chunk, found by the RIFF layout alone and not by the program's reader. */
export function dataBytesOf(path: string): Buffer {
  const bytes = readFileSync(path)
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = bytes.readUInt32LE(at + 4)
    if (bytes.toString('latin1', at, at + 4) === 'data') return bytes.subarray(at + 8, at + 8 + size)
    at += 8 + size + (size % 2)
  }
  throw new Error(`${path} has no data chunk`)
}

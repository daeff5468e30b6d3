// Mics, curves, corrections and carried chains through the handlers.

import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { keepPictureRoute, pictureRoute } from '../../../app/contract/picture.ts'
import { type Curve, octaveGridHz, resampleCurve } from '../../../app/dsp/correction/curve.ts'
import { analogueBandDb } from '../../../app/dsp/filters/prototypes.ts'
import { createSoundRoutes } from '../../../app/services/takes/sound-routes.ts'
import { butterworthHighPassDb } from '../../signals/analogue-prototypes.ts'
import { inventedMicCurve } from '../../signals/mic-curves.ts'
import { context, openWorkshop, type Workshop } from '../workshop.ts'

const points = ({ frequenciesHz, levelsDb }: Curve) => ({
  frequenciesHz: [...frequenciesHz],
  levelsDb: [...levelsDb],
})

async function addCurve({ handlers }: Workshop, micId: number | null, curve: Curve, name = 'On axis') {
  return handlers.createCurve(
    {
      micId,
      name,
      source: 'invented',
      pattern: 'cardioid',
      distanceM: 0.3,
      note: '',
      points: points(curve),
      picture: null,
    },
    context,
  )
}
const addMic = ({ handlers }: Workshop, name: string) =>
  handlers.createMic({ name, serial: '', pattern: 'cardioid', note: '' }, context)

async function saveChain({ handlers }: Workshop, stages: ChainStages) {
  const artist = await handlers.createArtist({ name: 'Invented', note: '' }, context)
  const voice = await handlers.createVoice({ artistId: artist.id, name: 'Rap', note: '' }, context)
  return handlers.saveChain({ voiceId: voice.id, chainId: null, name: 'Verse', stages, note: '' }, context)
}

const aims = defaultStages['mic-correction'].settings

describe('curves', () => {
  it('are exported and subtracted', async () => {
    const workshop = openWorkshop()
    const mic = await addMic(workshop, 'One')
    const a = await addCurve(workshop, mic.id, inventedMicCurve(1))
    const b = await addCurve(workshop, null, inventedMicCurve(2), 'aim')
    const { fileName, text } = await workshop.handlers.exportCurve({ id: a.id }, context)
    expect(fileName).toBe('One On axis.csv')
    const { curve: again, remarks } = await workshop.handlers.importCurve(
      { micId: mic.id, name: 'again', source: 'own', pattern: 'omni', distanceM: null, note: '', text },
      context,
    )
    expect(remarks).toEqual([])
    again.points.levelsDb.forEach((levelDb, i) => {
      expect(levelDb).toBeCloseTo(a.points.levelsDb[i], 3)
    })
    const difference = await workshop.handlers.subtractCurves(
      { curveId: a.id, subtractedCurveId: b.id },
      context,
    )
    const at = 3150
    expect(resampleCurve(difference.points, [at]).levelsDb[0]).toBeCloseTo(
      resampleCurve(a.points, [at]).levelsDb[0] - resampleCurve(b.points, [at]).levelsDb[0],
      1,
    )
  })

  it('that do not meet have no difference, and no correction', async () => {
    const workshop = openWorkshop()
    const low = await addCurve(workshop, null, { frequenciesHz: [20, 50, 100], levelsDb: [0, 1, 2] })
    const high = await addCurve(workshop, null, { frequenciesHz: [1000, 5000, 9000], levelsDb: [0, 1, 2] })
    const { handlers } = workshop
    await expect(
      handlers.subtractCurves({ curveId: low.id, subtractedCurveId: high.id }, context),
    ).rejects.toThrow('no range of frequencies in common')
    await expect(
      handlers.fitMicCorrection(
        {
          curveId: low.id,
          aims: { ...aims, target: { name: 'x', curve: high.points } },
          sampleRateHz: 48_000,
        },
        context,
      ),
    ).rejects.toThrow('less than one octave in common')
  })
})

describe('a correction', () => {
  it('to flat leaves over what it says, and ends where a curve ends at 10 kHz', async () => {
    const workshop = openWorkshop()
    const whole = inventedMicCurve(4)
    const kept = whole.frequenciesHz.filter((frequencyHz) => frequencyHz <= 10_000)
    const curve = await addCurve(workshop, null, {
      frequenciesHz: kept,
      levelsDb: whole.levelsDb.slice(0, kept.length),
    })
    const fit = await workshop.handlers.fitMicCorrection(
      { curveId: curve.id, aims, sampleRateHz: 48_000 },
      context,
    )
    expect(fit.toHz).toBe(kept.at(-1))
    expect(fit.cautions[0]).toContain('invented')
    expect(fit.cautions.join(' ')).toMatch(/only up to 9\d{3} Hz/)
    fit.wanted.frequenciesHz.forEach((frequencyHz, i) => {
      expect(fit.leftOver.levelsDb[i]).toBeCloseTo(fit.wanted.levelsDb[i] - fit.fitted.levelsDb[i], 12)
      if (frequencyHz > 10_100) expect(fit.wanted.levelsDb[i]).toBe(0)
    })
    expect(fit.cautions.join(' ')).not.toMatch(/other microphone/)
  })

  it('runs the proximity shelf beside the fit, and only where there is one', async () => {
    const workshop = openWorkshop()
    const mic = await addMic(workshop, 'One')
    await addCurve(workshop, mic.id, inventedMicCurve(4))
    const frequenciesHz = [60, 120, 500, 4000]
    const respond = async (settings: typeof aims) => {
      const { planTake } = await import('../../../app/services/sessions/plan-session.ts')
      const curve = workshop.workplace.catalogue.curves.firstOf(mic.id)
      const plan = planTake(
        { name: 't', sampleRateHz: 48_000, frames: 1, channels: 1, sha256: '', encoding: '' } as never,
        curve!.points,
        [{ kind: 'mic-correction', on: true, settings }],
        48_000,
        workshop.workplace.fitter,
      )
      const setup = plan.layers[0].stages[0]
      if (setup.kind !== 'mic-correction') throw new Error(setup.kind)
      const { bands } = setup.settings
      return frequenciesHz.map((f) => bands.reduce((sum, band) => sum + analogueBandDb(band, f), 0))
    }
    const shelf = { frequencyHz: 150, gainDb: -6, q: 0.5 }
    const plain = await respond(aims)
    const near = await respond({ ...aims, proximity: shelf })
    near.forEach((levelDb, i) => {
      expect(levelDb - plain[i]).toBeCloseTo(
        analogueBandDb({ shape: 'low-shelf', ...shelf }, frequenciesHz[i]),
        9,
      )
    })
  })
})

describe('a proximity shelf', () => {
  const propose = (pattern: 'omni' | 'cardioid' | 'figure-8' | 'unknown', from: number, to: number) =>
    openWorkshop().handlers.proposeProximity({ pattern, curveDistanceM: from, voiceDistanceM: to }, context)
  it('is the spherical wave’s: a figure of eight at half the distance, 6 dB far below and half of it at 1.41 × c / (2 π r)', async () => {
    // |1 + 1 / (j k r)|: c / (2 π 0.3 m) = 182 Hz, c / (2 π 0.15 m) = 364 Hz (343 m/s); the middle is 257 Hz.
    const { shelf } = await propose('figure-8', 0.3, 0.15)
    for (const frequencyHz of [60, 100, 257, 500, 1000]) {
      const rise = (cornerHz: number) => 10 * Math.log10(1 + (cornerHz / frequencyHz) ** 2)
      const wantedDb = rise(182) - rise(364)
      expect(
        Math.abs(analogueBandDb({ shape: 'low-shelf', ...shelf! }, frequencyHz) - wantedDb),
      ).toBeLessThan(0.3)
    }
  })
  it('is none for an omni, an unknown pattern, or a distance that stays, and says why', async () => {
    expect(await propose('omni', 0.3, 0.1)).toEqual({
      shelf: null,
      evidence: expect.stringContaining('omni'),
    })
    expect((await propose('unknown', 0.3, 0.1)).evidence).toContain('not known')
    expect((await propose('cardioid', 0.3, 0.29)).evidence).toContain('less than half a dB')
  })
})

describe('a chain that moves to another mic', () => {
  const stages: ChainStages = [
    defaultStages.expander,
    defaultStages['mic-correction'],
    defaultStages['low-cut'],
    defaultStages.tone,
    defaultStages['de-ess'],
    defaultStages.opto,
    defaultStages.ceiling,
  ]
  const settled = async (workshop: Workshop, a: number, b: number, chain: ChainStages) => {
    const [from, to] = [await addMic(workshop, 'Old'), await addMic(workshop, 'New')]
    const fromCurve = await addCurve(workshop, from.id, inventedMicCurve(a))
    const toCurve = await addCurve(workshop, to.id, inventedMicCurve(b))
    const version = await saveChain(workshop, chain)
    return {
      chainVersionId: version.id,
      fromCurveId: fromCurve.id,
      toCurveId: toCurve.id,
      sampleRateHz: 48_000,
    }
  }

  it('differs by less than 0.5 dB RMS from 80 Hz to 12 kHz on 24 pairs of invented curves', async () => {
    const workshop = openWorkshop()
    const request = await settled(workshop, 1, 2, stages)
    const rmsDb: number[] = []
    const maxDb: number[] = []
    for (let pair = 0; pair < 24; pair++) {
      const [from, to] = [
        await addCurve(workshop, null, inventedMicCurve(2 * pair + 1)),
        await addCurve(workshop, null, inventedMicCurve(2 * pair + 2)),
      ]
      const plan = await workshop.handlers.planCarry(
        { ...request, fromCurveId: from.id, toCurveId: to.id, aim: null, limits: {} },
        context,
      )
      rmsDb.push(plan.rmsDb)
      maxDb.push(plan.maxDb)
      // The totals again, from the curves and the analogue prototypes rather than from what the plan drew.
      const correction = plan.stages.filter((stage) => stage.kind === 'tone' || stage.kind === 'low-cut')
      const total = (curve: Curve, bands: typeof plan.oldBands, f: number) =>
        resampleCurve(curve, [f]).levelsDb[0] +
        bands.reduce((sum, band) => sum + analogueBandDb(band, f), 0) +
        correction.reduce(
          (sum, stage) =>
            sum +
            (stage.kind === 'low-cut'
              ? butterworthHighPassDb(stage.settings.frequencyHz, stage.settings.slopeDbPerOctave / 6, f)
              : stage.kind === 'tone'
                ? stage.settings.bands.reduce((all, band) => all + analogueBandDb(band, f), 0)
                : 0),
          0,
        )
      const differences = octaveGridHz(80, 12_000, 12).map(
        (f) => total(to.points, plan.newBands, f) - total(from.points, plan.oldBands, f),
      )
      const mean = differences.reduce((sum, d) => sum + d, 0) / differences.length
      const spread = Math.sqrt(differences.reduce((sum, d) => sum + (d - mean) ** 2, 0) / differences.length)
      expect(spread).toBeLessThan(plan.rmsDb + 0.1)
    }
    const ordered = (values: number[]) => values.toSorted((x, y) => x - y)
    console.info(
      `carry, 24 pairs: RMS median ${ordered(rmsDb)[12].toFixed(2)}, worst ${Math.max(...rmsDb).toFixed(2)} dB; ` +
        `greatest median ${ordered(maxDb)[12].toFixed(2)}, worst ${Math.max(...maxDb).toFixed(2)} dB`,
    )
    expect(Math.max(...rmsDb)).toBeLessThan(0.5)
  })

  it('keeps every stage but the correction, which aims at the sound so far where its own aim would not keep it', async () => {
    const workshop = openWorkshop()
    const half = { ...defaultStages['mic-correction'], settings: { ...aims, amountPercent: 30 } }
    const request = await settled(workshop, 3, 4, [half, ...stages.slice(2)])
    const asItIs = await workshop.handlers.planCarry({ ...request, aim: 'as it is', limits: {} }, context)
    expect(asItIs).toMatchObject({ changesChain: false, stages: [half, ...stages.slice(2)] })
    const plan = await workshop.handlers.planCarry({ ...request, aim: null, limits: {} }, context)
    expect(plan).toMatchObject({ aim: 'the sound so far', changesChain: true })
    expect(plan.rmsDb).toBeLessThan(asItIs.rmsDb / 2)
    expect(plan.stages.slice(1)).toEqual(stages.slice(2))
    expect(plan.stages[0]).toMatchObject({
      kind: 'mic-correction',
      settings: { amountPercent: 100, maxBoostDb: aims.maxBoostDb, target: { name: 'Old as corrected' } },
    })
    // The old mic sounds as before through the new version, so a stack may hold takes of both.
    const { workplace } = workshop
    const oldCurve = workplace.catalogue.curves.get(request.fromCurveId).points
    const before = workplace.fitter.fit(oldCurve, half.settings, 48_000).fitted
    const stage = plan.stages[0]
    if (stage.kind !== 'mic-correction') throw new Error(stage.kind)
    const after = workplace.fitter.fit(oldCurve, stage.settings, 48_000).fitted
    before.frequenciesHz.forEach((f, i) => {
      if (f > 80 && f < 12_000) expect(Math.abs(after.levelsDb[i] - before.levelsDb[i])).toBeLessThan(0.6)
    })
  })

  it('gets a correction where it has none, before what runs on the sum', async () => {
    const workshop = openWorkshop()
    const request = await settled(workshop, 5, 6, [defaultStages.trim, defaultStages['low-cut']])
    const plan = await workshop.handlers.planCarry({ ...request, aim: null, limits: {} }, context)
    expect(plan.stages.map(({ kind }) => kind)).toEqual(['trim', 'mic-correction', 'low-cut'])
    expect(plan.rmsDb).toBeLessThan(0.5)
    expect(plan.remarks[0]).toContain('had no mic correction')
  })

  it('says which bound keeps the two sounds apart', async () => {
    const workshop = openWorkshop()
    const request = await settled(workshop, 15, 16, stages)
    const plan = await workshop.handlers.planCarry(
      { ...request, aim: 'the sound so far', limits: { maxBoostDb: 1, maxCutDb: 1 } },
      context,
    )
    expect(plan.maxDb).toBeGreaterThan(1)
    expect(plan.remarks.join(' ')).toMatch(/limited by its maximum (boost|cut) of 1 dB/)
  })

  it('is stated only as far as both curves reach', async () => {
    const workshop = openWorkshop()
    const request = await settled(workshop, 7, 8, stages)
    const whole = inventedMicCurve(8)
    const count = whole.frequenciesHz.filter((f) => f <= 10_000).length
    const short = await addCurve(workshop, null, {
      frequenciesHz: whole.frequenciesHz.slice(0, count),
      levelsDb: whole.levelsDb.slice(0, count),
    })
    const plan = await workshop.handlers.planCarry(
      { ...request, toCurveId: short.id, aim: null, limits: {} },
      context,
    )
    expect(plan.toHz).toBeLessThanOrEqual(10_000)
    expect(plan.remarks.join(' ')).toMatch(/ends at 9\d{3} Hz/)
  })
})

describe('pictures of traced curves', () => {
  const png = Uint8Array.from([
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 0, 0, 8, 0, 0, 0,
    4, 8, 2, 0, 0, 0,
  ])
  it('are kept once under their hash and given back', async () => {
    const { folder, workplace } = openWorkshop()
    const routes = createSoundRoutes(workplace)
    const put = (body: Uint8Array<ArrayBuffer>) =>
      routes(
        new Request(`http://x${keepPictureRoute('a plot.png')}`, {
          method: 'PUT',
          body,
          duplex: 'half',
        } as never),
      )
    const { sha256 } = (await (await put(png))!.json()) as { sha256: string }
    await put(png)
    expect(readdirSync(join(folder, 'pictures'))).toEqual([`${sha256}.png`])
    expect(new Uint8Array(readFileSync(join(folder, 'pictures', `${sha256}.png`)))).toEqual(png)
    const answer = (await routes(new Request(`http://x${pictureRoute(sha256)}`)))!
    expect(answer.headers.get('content-type')).toBe('image/png')
    expect(new Uint8Array(await answer.arrayBuffer())).toEqual(png)
    const lost = (await routes(new Request(`http://x${pictureRoute('0'.repeat(64))}`)))!
    expect(lost.status).toBe(422)
    const text = (await put(new TextEncoder().encode('no picture') as Uint8Array<ArrayBuffer>))!
    expect(await text.json()).toMatchObject({
      code: 'not-supported',
      message: expect.stringContaining('a plot.png'),
    })
  })
})

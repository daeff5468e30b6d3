// Loudness and true peak as others measure them: FFmpeg's ebur128 filter, and libebur128
// through a small program that is compiled here.

import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { hasTool, haveMaterial } from '../require-tool.ts'

export interface OutsideReading {
  readonly integratedLufs: number
  readonly loudnessRangeLu: number
  readonly truePeakDbtp: number
}

export interface OutsideMeter {
  readonly name: string
  read(channels: readonly Float64Array[], sampleRateHz: number): OutsideReading
}

const HEADERS = ['/usr/include/ebur128.h', '/usr/local/include/ebur128.h', '/opt/homebrew/include/ebur128.h']

const PROGRAM = `
#include <ebur128.h>
#include <stdio.h>
#include <stdlib.h>
int main(int argc, char **argv) {
  unsigned channels = atoi(argv[2]);
  ebur128_state *st = ebur128_init(channels, atol(argv[3]), EBUR128_MODE_I | EBUR128_MODE_LRA | EBUR128_MODE_TRUE_PEAK);
  FILE *file = fopen(argv[1], "rb");
  float block[4096];
  double loudness, range, peak = 0;
  size_t got;
  if (!st || !file || argc != 4) return 1;
  while ((got = fread(block, sizeof(float) * channels, 4096 / channels, file)) > 0)
    ebur128_add_frames_float(st, block, got);
  ebur128_loudness_global(st, &loudness);
  ebur128_loudness_range(st, &range);
  for (unsigned c = 0; c < channels; c++) {
    double one;
    ebur128_true_peak(st, c, &one);
    if (one > peak) peak = one;
  }
  printf("%.9f %.9f %.12f\\n", loudness, range, peak);
  return 0;
}
`

/** Handed the meters that are on this machine and the names of those that are not. */
export function withOutsideMeters(
  use: (meters: readonly OutsideMeter[], missing: readonly string[]) => void,
): void {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-fidelity-'))
  try {
    const meters: OutsideMeter[] = []
    const missing: string[] = []
    if (hasTool('ffmpeg'))
      meters.push({ name: 'FFmpeg ebur128', read: (...sound) => byFfmpeg(folder, ...sound) })
    else missing.push('FFmpeg ebur128')
    const program = compile(folder)
    if (program !== null)
      meters.push({ name: 'libebur128', read: (...sound) => byLibrary(folder, program, ...sound) })
    else missing.push('libebur128')
    use(meters, missing)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** null where the compiler or the library's headers are missing (an error with CI=true). */
function compile(folder: string): string | null {
  const header = HEADERS.find((path) => existsSync(path)) ?? HEADERS[0]
  if (!(hasTool('cc') && haveMaterial(header))) return null
  const source = join(folder, 'meter.c')
  const program = join(folder, 'meter')
  writeFileSync(source, PROGRAM)
  execFileSync('cc', ['-O2', '-o', program, source, '-lebur128', '-lm'])
  return program
}

function writeRaw(folder: string, channels: readonly Float64Array[]): string {
  const interleaved = new Float32Array(channels[0].length * channels.length)
  channels.forEach((channel, c) => {
    for (let n = 0; n < channel.length; n++) interleaved[n * channels.length + c] = channel[n]
  })
  const path = join(folder, 'signal.f32')
  writeFileSync(path, new Uint8Array(interleaved.buffer))
  return path
}

function byLibrary(
  folder: string,
  program: string,
  channels: readonly Float64Array[],
  sampleRateHz: number,
): OutsideReading {
  const path = writeRaw(folder, channels)
  const text = execFileSync(program, [path, `${channels.length}`, `${sampleRateHz}`], { encoding: 'utf8' })
  const [integratedLufs, loudnessRangeLu, peak] = text.trim().split(' ').map(Number)
  return { integratedLufs, loudnessRangeLu, truePeakDbtp: 20 * Math.log10(peak) }
}

function byFfmpeg(folder: string, channels: readonly Float64Array[], sampleRateHz: number): OutsideReading {
  const path = writeRaw(folder, channels)
  const filter = 'ebur128=peak=true:metadata=1,ametadata=mode=print:file=-'
  const input = ['-f', 'f32le', '-ar', `${sampleRateHz}`, '-ac', `${channels.length}`, '-i', path]
  const run = spawnSync('ffmpeg', ['-hide_banner', '-nostats', ...input, '-af', filter, '-f', 'null', '-'], {
    encoding: 'utf8',
    maxBuffer: 2 ** 28,
  })
  const last = (key: string) =>
    Number([...run.stdout.matchAll(new RegExp(`^lavfi\\.r128\\.${key}=(.*)$`, 'gm'))].at(-1)?.[1])
  return {
    integratedLufs: last('I'),
    loudnessRangeLu: last('LRA'),
    truePeakDbtp: Number(/True peak:\s+Peak:\s+(\S+) dBFS/.exec(run.stderr)?.[1]),
  }
}

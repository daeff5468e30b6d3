// One chunk of a RIFF file: id, 32-bit size, contents, and a pad byte where the size is odd (EBU Tech 3285, A.1).

/** @param id four ASCII characters */
export function waveChunk(id: string, ...contents: readonly Uint8Array[]): Buffer {
  const size = contents.reduce((sum, part) => sum + part.length, 0)
  const head = Buffer.alloc(8)
  head.write(id, 0, 'latin1')
  head.writeUInt32LE(size, 4)
  return Buffer.concat([head, ...contents, Buffer.alloc(size % 2)])
}

/** Unsigned 32-bit little-endian words in a row. */
export function words32(...values: readonly number[]): Buffer {
  const bytes = Buffer.alloc(4 * values.length)
  values.forEach((value, k) => {
    bytes.writeUInt32LE(value, 4 * k)
  })
  return bytes
}

/**
 * Text as the chunks of a WAVE file hold it: Latin-1, ended by NUL and made even by a second one, because some
 * readers forget the pad byte. Letters outside Latin-1 lose their marks, or become question marks.
 */
export function waveText(text: string): Buffer {
  const plain = text.replaceAll(/[^\x20-\x7e\xa0-\xff]/gu, (letter) => {
    const bare = letter.normalize('NFKD').replaceAll(/\p{M}/gu, '')
    return /^[\x20-\x7e\xa0-\xff]+$/.test(bare) ? bare : '?'
  })
  const bytes = Buffer.from(`${plain}\0`, 'latin1')
  return bytes.length % 2 === 0 ? bytes : Buffer.concat([bytes, Buffer.alloc(1)])
}

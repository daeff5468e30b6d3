// Zip files byte by byte (PKWARE APPNOTE 6.3.10, 4.3), with whatever faults they are asked to have.

import { crc32, deflateRawSync } from 'node:zlib'

export interface RawEntry {
  readonly name: string
  readonly bytes: Uint8Array
  /** Upper half of the external attributes, as Unix writes it. */
  readonly mode?: number
  readonly deflated?: boolean
  /** What the headers say of the size, where it is not true. */
  readonly saidSize?: number
}

export function rawZip(entries: readonly RawEntry[], saidEntries = entries.length): Buffer {
  const locals: Buffer[] = []
  const central: Buffer[] = []
  let offset = 0
  for (const { name, bytes, mode = 0o100644, deflated = false, saidSize = bytes.length } of entries) {
    const path = Buffer.from(name, 'utf8')
    const data = deflated ? deflateRawSync(bytes) : Buffer.from(bytes)
    const packed = deflated ? data.length : saidSize
    const shared = Buffer.alloc(26)
    shared.writeUInt16LE(20, 0)
    shared.writeUInt16LE(0x0800, 2)
    shared.writeUInt16LE(deflated ? 8 : 0, 4)
    shared.writeUInt16LE(0, 6)
    shared.writeUInt16LE(0x21, 8)
    shared.writeUInt32LE(crc32(bytes), 10)
    shared.writeUInt32LE(packed, 14)
    shared.writeUInt32LE(saidSize, 18)
    shared.writeUInt16LE(path.length, 22)
    const local = Buffer.concat([Buffer.from('PK\x03\x04', 'latin1'), shared, path, data])
    const tail = Buffer.alloc(14)
    tail.writeUInt32LE(mode * 0x1_0000, 6)
    tail.writeUInt32LE(offset, 10)
    const madeBy = Buffer.from([63, 3])
    central.push(Buffer.concat([Buffer.from('PK\x01\x02', 'latin1'), madeBy, shared, tail, path]))
    locals.push(local)
    offset += local.length
  }
  const directory = Buffer.concat(central)
  const end = Buffer.alloc(22)
  end.write('PK\x05\x06', 'latin1')
  end.writeUInt16LE(saidEntries, 8)
  end.writeUInt16LE(saidEntries, 10)
  end.writeUInt32LE(directory.length, 12)
  end.writeUInt32LE(offset, 16)
  return Buffer.concat([...locals, directory, end])
}

// TextDecoder exists in Node and in browsers alike but in no ES library; the pure folders
// need just this much of it.

declare class TextDecoder {
  constructor(label: string, options?: { fatal?: boolean })
  decode(bytes: Uint8Array): string
}

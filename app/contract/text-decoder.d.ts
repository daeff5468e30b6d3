// TextDecoder exists in Node and in browsers but not in TypeScript's ES libraries. The pure folders
// need only this part of it.

declare class TextDecoder {
  constructor(label: string, options?: { fatal?: boolean })
  decode(bytes: Uint8Array): string
}

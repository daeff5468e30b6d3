// AbortSignal and AbortController exist in Node and in browsers but not in TypeScript's ES libraries.
// The pure folders need only this part of them.

interface AbortSignal {
  readonly aborted: boolean
  readonly reason: unknown
  throwIfAborted(): void
  addEventListener(type: 'abort', listener: () => void, options?: { once?: boolean }): void
  removeEventListener(type: 'abort', listener: () => void): void
}
interface AbortController {
  readonly signal: AbortSignal
  abort(reason?: unknown): void
}
declare var AbortController: { prototype: AbortController; new (): AbortController }

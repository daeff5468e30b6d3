// AbortSignal and AbortController exist in Node and in browsers alike but in no ES library;
// the pure folders need just this much of them.

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

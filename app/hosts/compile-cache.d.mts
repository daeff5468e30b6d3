export function cacheCompiledCode(): void

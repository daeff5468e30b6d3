import { afterEach, describe, expect, it, vi } from 'vitest'
import { hasTool, haveMaterial } from './require-tool.ts'

describe('hasTool', () => {
  afterEach(() => {
    vi.unstubAllEnvs()
    vi.restoreAllMocks()
  })

  it('finds a program that is on PATH', () => {
    expect(hasTool('node')).toBe(true)
  })

  it('skips with a warning when a tool or test material is missing', () => {
    vi.stubEnv('CI', '')
    const warn = vi.spyOn(console, 'warn').mockImplementation(() => {})
    expect(hasTool('no-such-program-anywhere')).toBe(false)
    expect(haveMaterial('/no/such/clip.wav')).toBe(false)
    expect(warn).toHaveBeenCalledTimes(2)
  })

  it('fails instead of skipping when CI=true', () => {
    vi.stubEnv('CI', 'true')
    expect(() => hasTool('no-such-program-anywhere')).toThrow(/not on PATH/)
    expect(() => haveMaterial('/no/such/clip.wav')).toThrow(/not installed/)
  })
})

import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import { defineConfig } from 'electron-vite'
import type { UserConfig } from 'vite'

// Absolute paths, because electron-vite and vite resolve relative ones against different folders, and
// the output folder is emptied before it is written.
const ROOT = fileURLToPath(new URL('.', import.meta.url))
const inRoot = (path: string): string => join(ROOT, path)

/**
 * The window, built the same way for both shells. Sets everything that electron-vite would otherwise set
 * to its own value, so that vite alone produces the same files.
 */
export const rendererConfig: UserConfig = {
  root: inRoot('renderer'),
  base: './',
  plugins: [react()],
  build: {
    outDir: inRoot('out/renderer'),
    emptyOutDir: true,
    // The browsers that the loopback host serves are older than Electron's Chromium.
    target: 'es2022',
    minify: true,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    // Loaded from this machine's own disk, where one large file is no slower than several.
    chunkSizeWarningLimit: 2000,
    rolldownOptions: { input: inRoot('renderer/index.html') },
  },
}

export default defineConfig({
  main: {
    build: {
      outDir: inRoot('out/main'),
      rolldownOptions: {
        // Worker threads are started by file, so each entry is a file of its own.
        input: {
          main: inRoot('app/hosts/electron/main.ts'),
          'render-worker': inRoot('app/workers/render-worker.ts'),
          'playback-worker': inRoot('app/workers/playback-worker.ts'),
          'chain-helper': inRoot('app/workers/chain-helper.ts'),
        },
        // All in one folder, so that what is found from beside a file is found from every chunk.
        output: { chunkFileNames: '[name]-[hash].js' },
      },
    },
  },
  preload: {
    build: {
      outDir: inRoot('out/preload'),
      rolldownOptions: {
        input: { preload: inRoot('app/hosts/electron/preload.ts') },
        // A sandboxed preload script has to be CommonJS.
        output: { format: 'cjs', entryFileNames: '[name].cjs' },
      },
    },
  },
  renderer: rendererConfig,
})

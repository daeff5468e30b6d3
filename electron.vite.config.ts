import react from '@vitejs/plugin-react'
import { defineConfig } from 'electron-vite'
import type { UserConfig } from 'vite'

/** The window, built the same way for both shells. */
export const rendererConfig: UserConfig = {
  root: 'renderer',
  plugins: [react()],
  build: {
    outDir: '../out/renderer',
    emptyOutDir: true,
    minify: true,
    // Loaded from this machine's own disk, where one large file is no slower than several.
    chunkSizeWarningLimit: 2000,
    rolldownOptions: { input: 'renderer/index.html' },
  },
}

export default defineConfig({
  main: {
    build: {
      outDir: 'out/main',
      rolldownOptions: {
        // Worker threads are started by file, so each entry is a file of its own.
        input: {
          main: 'app/hosts/electron/main.ts',
          'render-worker': 'app/workers/render-worker.ts',
          'playback-worker': 'app/workers/playback-worker.ts',
          'chain-helper': 'app/workers/chain-helper.ts',
        },
        // All in one folder, so that what is found from beside a file is found from every chunk.
        output: { chunkFileNames: '[name]-[hash].js' },
      },
    },
  },
  preload: {
    build: {
      outDir: 'out/preload',
      rolldownOptions: {
        input: { preload: 'app/hosts/electron/preload.ts' },
        // A sandboxed preload script has to be CommonJS.
        output: { format: 'cjs', entryFileNames: '[name].cjs' },
      },
    },
  },
  renderer: rendererConfig,
})

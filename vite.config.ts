import { defineConfig } from 'vite';

export default defineConfig({
  root: 'monitor',
  base: './',
  esbuild: { jsx: 'automatic', jsxImportSource: 'preact' },
  build: { outDir: '../dist/monitor', emptyOutDir: true, target: 'es2022' },
});

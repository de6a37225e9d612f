import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // A wait that ends when the thing happens costs nothing; one second is too short on a busy machine.
    expect: { poll: { timeout: 30_000 } },
    // Two cores are the machine the project is built for; more workers only contend.
    maxWorkers: 2,
  },
});

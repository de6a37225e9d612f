/**
 * Salt through the thickness of a slab that is salted on both faces, by closed solutions of Fick's law.
 * Source: Crank, The Mathematics of Diffusion (from memory): instantaneous source at the face with nothing leaving
 * (2.4.2 with reflection), and constant concentration at both faces (4.3). A piece that is not a slab takes salt
 * from its sides too and evens out sooner, so a slab is the slow side.
 */
import { erfc } from './erf.ts';

/** Below this Fourier number few images converge faster than the series does. */
const EARLY = 0.1;
const TERMS = 120;
const IMAGES = 4;

function requirePlace(depthRatio: number, fourier: number): void {
  if (depthRatio >= 0 && depthRatio <= 1 && fourier >= 0 && Number.isFinite(fourier)) return;
  throw new RangeError(
    `depth ${depthRatio}, Fourier number ${fourier}: expected a depth from 0 (face) to 1 (centre) and 0 or more.`,
  );
}

/**
 * A weighed amount of salt put on both faces at once, none lost: concentration over its mean.
 * @param depthRatio 0 at the face, 1 at the centre
 * @param fourier D t over the square of the half thickness
 * @returns ratio; Infinity on the face at time zero, where all of it still lies
 */
export function weighedSaltRatio(depthRatio: number, fourier: number): number {
  requirePlace(depthRatio, fourier);
  if (fourier === 0) return depthRatio === 0 ? Number.POSITIVE_INFINITY : 0;
  if (fourier < EARLY) {
    let sum = 0;
    for (let k = -IMAGES; k <= IMAGES; k++) sum += Math.exp(-((depthRatio - 2 * k) ** 2) / (4 * fourier));
    return sum / Math.sqrt(Math.PI * fourier);
  }
  let sum = 1;
  for (let n = 1; n <= TERMS; n++) {
    sum += 2 * Math.cos(n * Math.PI * depthRatio) * Math.exp(-n * n * Math.PI ** 2 * fourier);
  }
  return sum;
}

/**
 * Salt in excess on both faces: concentration over that of the face.
 * @returns ratio from 0 to 1
 */
export function packedSaltRatio(depthRatio: number, fourier: number): number {
  requirePlace(depthRatio, fourier);
  if (fourier === 0) return depthRatio === 0 ? 1 : 0;
  if (fourier < EARLY) {
    let sum = 0;
    const root = 2 * Math.sqrt(fourier);
    for (let k = 0; k < IMAGES; k++) {
      const sign = k % 2 === 0 ? 1 : -1;
      sum += sign * (erfc((2 * k + depthRatio) / root) + erfc((2 * k + 2 - depthRatio) / root));
    }
    return sum;
  }
  let rest = 0;
  for (let n = 0; n < TERMS; n++) {
    const odd = (2 * n + 1) * (Math.PI / 2);
    rest += (2 / odd) * Math.sin(odd * depthRatio) * Math.exp(-odd * odd * fourier);
  }
  return 1 - rest;
}

/** Mean over the thickness of salt in excess on both faces, over that of the face: 0 to 1. */
export function packedMeanRatio(fourier: number): number {
  requirePlace(0, fourier);
  if (fourier < EARLY) {
    // 2 sqrt(Fo/pi) and its reflections (Crank 4.20): ierfc terms are under 1e-4 here but for the first.
    const root = Math.sqrt(fourier);
    let sum = 1 / Math.sqrt(Math.PI);
    for (let n = 1; n <= IMAGES && root > 0; n++) {
      const x = n / root;
      const ierfc = Math.exp(-x * x) / Math.sqrt(Math.PI) - x * erfc(x);
      sum += 2 * (n % 2 === 0 ? 1 : -1) * ierfc;
    }
    return 2 * root * sum;
  }
  let rest = 0;
  for (let n = 0; n < TERMS; n++) {
    const odd = (2 * n + 1) * (Math.PI / 2);
    rest += (2 / (odd * odd)) * Math.exp(-odd * odd * fourier);
  }
  return 1 - rest;
}

/** Integral over the half thickness of sin((2m+1) pi x/2) cos(n pi x), x from face to centre. */
function overlap(m: number, n: number): number {
  const odd = (2 * m + 1) * (Math.PI / 2);
  return odd / (odd * odd - (n * Math.PI) ** 2);
}

/**
 * Salt in excess on both faces for a time, then rinsed off, then left to even out with nothing leaving:
 * concentration over what the face had before the rinse. The profile at the rinse is written in the cosines of a
 * closed slab, each of which then decays by itself.
 * @param packedFourier D t over the square of the half thickness while packed
 * @param restFourier the same after the rinse
 */
export function rinsedSaltRatio(depthRatio: number, packedFourier: number, restFourier: number): number {
  requirePlace(depthRatio, packedFourier);
  requirePlace(depthRatio, restFourier);
  if (restFourier === 0) return packedSaltRatio(depthRatio, packedFourier);
  let sum = packedMeanRatio(packedFourier);
  for (let n = 1; n <= TERMS; n++) {
    const decay = Math.exp(-n * n * Math.PI ** 2 * restFourier);
    if (decay < 1e-14) break;
    sum += 2 * faceMode(n, packedFourier) * Math.cos(n * Math.PI * depthRatio) * decay;
  }
  return sum;
}

/** The n-th cosine's share of the packed profile. The bare series of 1 has none, so only what is still missing counts. */
function faceMode(n: number, fourier: number): number {
  let sum = 0;
  for (let m = 0; m < 4000; m++) {
    const odd = (2 * m + 1) * (Math.PI / 2);
    const term = (2 / odd) * Math.exp(-odd * odd * fourier);
    if (term < 1e-15) break;
    sum -= term * overlap(m, n);
  }
  return sum;
}

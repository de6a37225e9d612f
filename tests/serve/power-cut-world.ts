import { SimulatedRig } from '../../controller/rig/simulated.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import { drawRig } from '../../shared/bath/draw.ts';
import { applyPlantEvent, hutSpec, type PlantSpec, stepPlant, truth } from '../../shared/bath/plant.ts';
import { cutById } from '../../shared/food/cuts.ts';
import { addGrowth, type GrowthState, growthResult, startGrowth } from '../../shared/hazard/growth.ts';
import { growthModelsFor } from '../../shared/hazard/growth-models.ts';
import { addLethality, type LethalityState, startLethality } from '../../shared/hazard/lethality.ts';
import { chooseStandard } from '../../shared/hazard/standards/choose.ts';
import {
  logUniformBetween,
  newRandom,
  type Random,
  uniform,
  uniformBetween,
} from '../../shared/units/random.ts';
import { type BagSpec, type Command, commandSchema } from '../../shared/wire/command.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { TickInput } from '../../shared/wire/tick.ts';

/** One power cut as it is drawn. */
export interface Drawn {
  readonly seed: number;
  readonly spec: PlantSpec;
  readonly setpointC: number;
  readonly bags: readonly BagSpec[];
  /** How long the food was in before, and how long the power was out, s. */
  readonly beforeS: number;
  readonly outageS: number;
  /** What the clock says it was, s; null = it knows that it cannot tell. */
  readonly clockS: number | null;
  readonly clock: 'right' | 'unknown' | 'wrong';
  readonly roomKnown: boolean;
  /** Lid off from and to, as shares of the outage; null = unchanged. */
  readonly lidOff: readonly [number, number] | null;
  /** The room is this much colder afterwards, degC. */
  readonly roomFallC: number;
  /** False: a rig that nobody knows more of than its description says. */
  readonly identified: boolean;
}

/** What the plant really did to one bag, by the published figures along its real core. */
export interface BagTrue {
  readonly lethality: number;
  readonly growth: number;
  readonly coreC: number;
}

/** A power cut after it was measured. */
export interface Outcome {
  readonly drawn: Drawn;
  readonly state: TickState;
  readonly event: TickOutput['events'][number];
  /** The truth when the power went, and when the tick had reckoned. */
  readonly before: ReadonlyMap<string, BagTrue>;
  readonly after: ReadonlyMap<string, BagTrue>;
  readonly inputs: readonly TickInput[];
}

const CUTS = ['lamb-shoulder', 'pork-neck', 'beef-chuck', 'lamb-shoulder'];

function drawBags(random: Random, litres: number): BagSpec[] {
  const count = 1 + Math.floor(uniform(random) * Math.min(3, litres / 8));
  return Array.from({ length: count }, (_, n) => ({
    bagId: `bag-${n + 1}`,
    label: `Piece ${n + 1}`,
    cutId: CUTS[Math.floor(uniform(random) * CUTS.length)] ?? 'lamb-shoulder',
    beta: uniformBetween(random, 0.3, 1.2),
    thicknessMm: uniformBetween(random, 35, 80),
    massKg: uniformBetween(random, 0.7, 1.5),
    startC: uniformBetween(random, 3, 8),
    endpoint: 'fork-tender' as const,
  }));
}

/** Draws a power cut: every second clock is wrong, every third rig is drawn from makeshift ones, every fourth lid is lifted, every eleventh rig is not identified. */
export function drawOutage(seed: number): Drawn {
  const random = newRandom(seed * 7919 + 17);
  const hut = {
    ...hutSpec(),
    ambientC: uniformBetween(random, 6, 28),
    ambientSwingC: uniformBetween(random, 0, 3),
  };
  const spec = seed % 3 === 0 ? drawRig(seed) : hut;
  const outageS = Math.round(logUniformBetween(random, 60, 8 * 3600));
  const clock = seed % 2 === 0 ? 'right' : uniform(random) < 0.5 ? 'unknown' : 'wrong';
  const factor =
    uniform(random) < 0.5 ? logUniformBetween(random, 0.02, 0.9) : logUniformBetween(random, 1.1, 20);
  const from = uniform(random) * 0.8;
  return {
    seed,
    spec,
    setpointC: Math.min(uniformBetween(random, 58, 76), spec.airPressureKPa < 75 ? 70 : 76),
    bags: drawBags(random, spec.litres),
    beforeS: Math.round(uniformBetween(random, 900, 4 * 3600)),
    outageS,
    clockS: clock === 'unknown' ? null : clock === 'right' ? outageS : Math.round(outageS * factor),
    clock,
    roomKnown: uniform(random) < 0.6,
    lidOff: seed % 4 === 1 ? [from, Math.min(1, from + uniformBetween(random, 0.05, 0.6))] : null,
    roomFallC: uniformBetween(random, 0, 4),
    identified: seed % 11 !== 7,
  };
}

/** Seconds after the restart in which the tick must have reckoned. */
const SETTLED_S = 160;
const START_MS = Date.UTC(2026, 10, 21, 18, 0, 0);
const SLOWEST_HEAT_UP_S = 6 * 3600;
const IDENTIFY_S = 2400;

/** A bath, its tick and its judge. */
class Bench {
  readonly #drawn: Drawn;
  readonly #rig: SimulatedRig;
  readonly #judges: Judge[] = [];
  state: TickState;
  inputs: TickInput[] = [];
  #sequence = 0;
  #nowMs = 0;
  #wallMs = START_MS;
  #ids = 0;

  constructor(drawn: Drawn) {
    this.#drawn = drawn;
    const { litres, elementWatts } = drawn.spec;
    const checked = checkConfig({ bath: { litres, elementWatts } });
    if (!checked.ok) throw new Error(checked.faults.join('\n'));
    this.#rig = new SimulatedRig({
      spec: drawn.spec,
      plant: null,
      seed: drawn.seed,
      nowMs: 0,
      text: 'power cuts',
      startC: 45,
    });
    this.state = startState(settingsFrom(checked.config, 'power-cuts'));
  }

  command(body: Record<string, unknown>): Command {
    this.#ids += 1;
    return commandSchema.parse({ id: `c${this.#ids}`, by: 'Hut phone', ...body });
  }

  step(commands: Command[] = [], restart: TickInput['restart'] = null): TickOutput {
    this.#sequence += 1;
    this.#nowMs += 1000;
    this.#wallMs += 1000;
    const seen = this.#rig.read(this.#nowMs);
    const readings = this.#drawn.roomKnown ? seen.readings : { ...seen.readings, ambient: null };
    const input: TickInput = {
      sequence: this.#sequence,
      monotonicMs: this.#nowMs,
      wallMs: this.#wallMs,
      wallTrusted: true,
      ...seen,
      readings,
      journalLagMs: 0,
      commands,
      restart,
    };
    this.inputs.push(input);
    const { state, output } = tick(this.state, input);
    this.state = state;
    this.#rig.heat(output.lease, this.#nowMs, output.standBy);
    commands.forEach((command, i) => {
      if (output.results[i]?.accepted !== true) return;
      this.#rig.follow(command);
      if (command.kind === 'bag-in') this.#judges.push(new Judge(command.bag));
    });
    this.#judge();
    return output;
  }

  run(seconds: number): void {
    for (let n = 0; n < seconds; n += 1) this.step();
  }

  #judge(): void {
    const { bags } = truth(this.#drawn.spec, this.#rig.plantState());
    for (const judge of this.#judges)
      judge.see(bags.find(({ bagId }) => bagId === judge.bagId)?.coreC ?? null);
  }

  /** What the heat-up taught is forgotten: the rig is the one that its description tells of. */
  forgetRig(): void {
    const { rig, settings } = this.state;
    this.state = { ...this.state, rig: { ...startState(settings).rig, last: rig.last } };
  }

  /** The mains are off: pump, element and controller stand, the clocks of the world go on. */
  cut(): void {
    const { spec, outageS, lidOff, roomFallC } = this.#drawn;
    const plant = this.#rig.plantState();
    applyPlantEvent(spec, plant, { type: 'mains', on: false });
    applyPlantEvent(spec, plant, { type: 'ambient', celsius: plant.ambientBaseC - roomFallC });
    for (let s = 0; s < outageS; s += 1) {
      const open = lidOff !== null && s >= lidOff[0] * outageS && s < lidOff[1] * outageS;
      if (plant.lidOn === open) applyPlantEvent(spec, plant, { type: 'lid', on: !open });
      stepPlant(spec, plant, { heat: false, dtS: 1 });
      this.#judge();
    }
    if (!plant.lidOn) applyPlantEvent(spec, plant, { type: 'lid', on: true });
    applyPlantEvent(spec, plant, { type: 'mains', on: true });
    // The controller's steady clock begins anew; the plant was moved on by hand.
    this.#wallMs += (this.#drawn.clockS ?? outageS) * 1000;
  }

  trues(): Map<string, BagTrue> {
    return new Map(this.#judges.map((judge) => [judge.bagId, judge.found()]));
  }
}

/** Carries the published hazards along the core that a bag really has. */
class Judge {
  readonly bagId: string;
  readonly #models: ReturnType<typeof growthModelsFor>;
  readonly #standard: ReturnType<typeof chooseStandard>['primary'];
  #lethality: LethalityState;
  #growth: GrowthState = startGrowth();
  #coreC: number | null = null;
  #atS = 0;

  constructor(bag: BagSpec) {
    const cut = cutById(bag.cutId);
    if (!cut) throw new Error(`no cut ${bag.cutId}`);
    this.bagId = bag.bagId;
    this.#models = growthModelsFor(cut.species);
    this.#standard = chooseStandard(cut).primary;
    this.#lethality = startLethality(this.#standard);
  }

  see(coreC: number | null): void {
    if (coreC === null) return;
    this.#atS += 1;
    const from = this.#coreC ?? coreC;
    this.#lethality = addLethality(this.#standard, this.#lethality, from, coreC, 1, this.#atS);
    this.#growth = addGrowth(this.#models, this.#growth, from, coreC, 1, false);
    this.#coreC = coreC;
  }

  found(): BagTrue {
    return {
      lethality: this.#lethality.log10,
      growth: growthResult(this.#models, this.#growth).log10,
      coreC: this.#coreC ?? Number.NaN,
    };
  }
}

/** Runs one drawn power cut on the real tick and the simulated plant. */
export function runOutage(drawn: Drawn, look?: (state: TickState) => void): Outcome {
  const bench = new Bench(drawn);
  const { setpointC } = drawn;
  bench.step([
    bench.command({
      kind: 'start-cook',
      cookId: 'hut-supper',
      name: 'Hut supper',
      setpointC,
      lowSetpointConfirmed: true,
    }),
  ]);
  for (let s = 0; s < SLOWEST_HEAT_UP_S && !bench.state.cook?.reached; s += 60) bench.run(60);
  bench.run(IDENTIFY_S);
  bench.step(drawn.bags.map((bag) => bench.command({ kind: 'bag-in', bag })));
  bench.run(drawn.beforeS);
  if (!drawn.identified) bench.forgetRig();
  const before = bench.trues();
  look?.(bench.state);
  bench.cut();
  const { clockS } = drawn;
  bench.inputs = [];
  bench.step([], { awayMs: clockS === null ? null : clockS * 1000 });
  for (let s = 0; s < SETTLED_S; s += 1) {
    const { events } = bench.step();
    const event = events.find(({ kind }) => kind === 'power-cut' || kind === 'restart-bridged');
    if (event)
      return { drawn, state: bench.state, event, before, after: bench.trues(), inputs: bench.inputs };
  }
  throw new Error(
    `seed ${drawn.seed}: no power cut was reckoned; outage ${JSON.stringify(bench.state.outage)}`,
  );
}

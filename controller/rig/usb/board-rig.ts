import { TRIP_CAUSES } from '../../../shared/wire/board-codes.ts';
import type { Calibration } from '../../../shared/wire/calibration.ts';
import type { Command } from '../../../shared/wire/command.ts';
import type { RigConfig } from '../../../shared/wire/config.ts';
import type { ProbeRole } from '../../../shared/wire/probe-roles.ts';
import type { Board, Reading } from '../../../shared/wire/reading.ts';
import type { Installation } from '../../../shared/wire/status.ts';
import type { HeatLease } from '../../../shared/wire/tick.ts';
import { applyCalibration } from '../calibrate/apply.ts';
import type { CookPort } from '../plant-port.ts';
import type { Rig, RigSnapshot, SoundPattern } from '../rig.ts';
import { faultWords, latchWords, refusalWords } from './board-words.ts';
import { busFault, type NamedProbe, namedProbes, PairWatch, type ProbesFault } from './roles.ts';
import type { BoardPort, BoardView } from './view.ts';

export interface BoardRigOptions {
  readonly kind: Exclude<Installation['rigKind'], 'simulated'>;
  readonly text: string;
  readonly port: BoardPort;
  /** `analogue`: read only where the board runs other firmware; then nothing is heated. */
  readonly config: Pick<RigConfig, 'probes' | 'calibrations'> & Partial<Pick<RigConfig, 'analogue'>>;
  /** The simulated world behind an emulated board; null on real hardware. */
  readonly hands: CookPort | null;
  /** Which bag the core probe is in, where the world knows; else the cook says it by naming the cold spot. */
  readonly coreBag?: () => string | null;
}

/** A board that was not heard for this long does not answer. */
const LINK_MS = 2000;
/** A nonce older than 700 ms is refused by the board; the way there takes time too. */
const NONCE_MS = 600;
/** A refusal is told until so long after. */
const REFUSED_MS = 5000;
/** Codes that come of a late or lost message once in a while: told only when they come twice in a row. */
const PASSING = new Set([1, 5, 6, 7, 8]);
/** The sounder is told anew this often; it falls silent by itself should the host be gone, and the board takes over. */
const SOUND_AGAIN_MS = 4000;
const SOUND_S = 10;
const FIRST_TAG = 16;

/** A board behind a port, as the controller's rig: roles, calibration, and each tick's lease sent once. */
export class BoardRig implements Rig {
  readonly kind: BoardRigOptions['kind'];
  readonly text: string;
  readonly plant: CookPort | null;
  private readonly options: BoardRigOptions;
  private readonly pair = new PairWatch();
  private readonly calibrations: ReadonlyMap<string, Calibration>;
  private readonly probes: readonly NamedProbe[];
  private view: BoardView | null = null;
  private probesFault: ProbesFault = null;
  private coreBagId: string | null = null;
  private tag = FIRST_TAG;
  private lastNonce: number | null = null;
  private heating = false;
  private refusals = 0;
  private refusedTag: number | null = null;
  /** Tag of the lease sent in this tick; null where none was. */
  private awaited: number | null = null;
  private clearing: Clearing | null = null;
  private readMs = 0;
  private toldFirmware: string | null = null;
  private sounding = { pattern: 0, atMs: Number.NEGATIVE_INFINITY };

  constructor(options: BoardRigOptions) {
    this.options = options;
    this.kind = options.kind;
    this.text = options.text;
    this.plant = options.hands;
    this.probes = namedProbes(options.config);
    this.calibrations = new Map(options.config.calibrations.map((one) => [one.rom, one]));
  }

  read(nowMs: number): RigSnapshot {
    this.readMs = nowMs;
    this.view = this.options.port.view(nowMs);
    this.hearClear(nowMs);
    const probes = this.probes;
    const one = (role: ProbeRole) => probes.find((probe) => probe.role === role);
    const of = (role: 'second' | 'ambient' | 'core') => {
      const probe = one(role);
      return probe ? this.reading(probe.rom, nowMs) : null;
    };
    const bath = this.reading(one('bath')?.rom ?? '', nowMs);
    const second = of('second');
    this.probesFault =
      busFault(this.view?.probes ?? [], probes, nowMs) ??
      this.pair.at(bath.celsius, second?.celsius ?? null, nowMs);
    const bagId = this.options.coreBag ? this.options.coreBag() : this.coreBagId;
    const core = bagId === null ? null : of('core');
    return {
      readings: {
        bath,
        second,
        ambient: of('ambient'),
        cores: core === null || bagId === null ? [] : [{ bagId, reading: core }],
      },
      board: this.board(nowMs),
    };
  }

  heat(lease: HeatLease | null, nowMs: number, standBy = false): void {
    this.awaited = null;
    const status = this.view?.status ?? null;
    const wanted = lease !== null || (standBy && status?.guardFitted === true);
    const may = this.linkUp(nowMs) && this.probesFault === null && status?.latchedCause === 0;
    if (!wanted || !may || status === null) {
      this.release();
      return;
    }
    // One lease a tick, each on a status of its own; without a fresh one this tick sends none and the last runs out.
    if (nowMs - status.arrivedMs > NONCE_MS || status.nonce === this.lastNonce) return;
    this.lastNonce = status.nonce;
    this.tag = this.nextTag();
    this.awaited = this.tag;
    this.heating = true;
    this.options.port.send({
      kind: 'lease',
      tag: this.tag,
      nonce: status.nonce,
      ms: lease?.ms ?? STAND_BY_MS,
      regulating: lease !== null,
      guard: status.guardFitted,
    });
  }

  leaseAnswered(): boolean {
    const answer = this.view?.answer;
    return this.awaited !== null && answer?.kind === 'lease' && answer.tag === this.awaited;
  }

  recallCore(bagId: string): void {
    this.coreBagId = bagId;
  }

  follow(command: Command): void {
    const { hands } = this.options;
    if (command.kind === 'bag-in') hands?.putIn(command.bag);
    if (command.kind === 'bag-out') hands?.takeOut(command.bagId);
    if (command.kind === 'cold-spot') this.coreBagId = command.bagId;
    if (command.kind === 'bag-out' && command.bagId === this.coreBagId) this.coreBagId = null;
    if (command.kind === 'clear') this.clear(command.alarmId);
  }

  sound(pattern: SoundPattern, nowMs: number): void {
    const { pattern: before, atMs } = this.sounding;
    if (pattern === before && (pattern === 0 || nowMs - atMs < SOUND_AGAIN_MS)) return;
    this.sounding = { pattern, atMs: nowMs };
    this.options.port.send({ kind: 'sound', pattern, seconds: pattern === 0 ? 0 : SOUND_S });
  }

  close(): Promise<void> {
    return this.options.port.close();
  }

  /** A person has looked and said so: the cut that is latched now is cleared, should its cause have gone; no other. */
  private clear(alarmId: string): void {
    const status = this.view?.status;
    if (!status || status.latchedCause === 0) return;
    const { latchedCause: cause, nonce } = status;
    const meant =
      alarmId === 'heat-link-lost' || (alarmId === 'over-temperature' && cause === OVER_TEMPERATURE);
    if (!meant) return;
    this.tag = this.nextTag();
    this.clearing = { tag: this.tag, askedMs: this.readMs, words: null };
    this.options.port.send({ kind: 'clear', tag: this.tag, cause, nonce });
  }

  /** What became of a clear that was asked for: refused words stay beside the cut until it is asked anew or gone. */
  private hearClear(nowMs: number): void {
    const { clearing, view } = this;
    if (clearing === null || !view?.status) return;
    if (view.status.latchedCause === 0) {
      this.clearing = null;
      return;
    }
    const { answer } = view;
    const { tag, askedMs, words } = clearing;
    if (answer?.kind === 'clear' && answer.tag === tag) {
      if (answer.code !== 0) this.clearing = { ...clearing, words: refusalWords(answer.code, answer.detail) };
    } else if (words === null && nowMs - askedMs > CLEAR_MS) {
      this.clearing = { ...clearing, words: 'the board did not answer; ask it again' };
    }
  }

  private nextTag(): number {
    return this.tag === 255 ? FIRST_TAG : this.tag + 1;
  }

  private release(): void {
    if (!this.heating) return;
    this.heating = false;
    this.options.port.send({ kind: 'release' });
  }

  private linkUp(nowMs: number): boolean {
    const { view } = this;
    return view?.phase === 'ready' && view.status !== null && nowMs - view.status.arrivedMs <= LINK_MS;
  }

  private reading(rom: string, nowMs: number): Reading {
    const probe = this.view?.probes.find((one) => one.rom === rom);
    const heard = this.view?.status ? nowMs - this.view.status.arrivedMs <= LINK_MS : false;
    const sequence = probe?.sequence ?? 0;
    if (!heard && this.view?.phase !== 'reading') {
      return { celsius: null, quality: 'offline', sequence, monotonicMs: nowMs };
    }
    if (!probe) return { celsius: null, quality: 'absent', sequence, monotonicMs: nowMs };
    const { celsius, quality, arrivedMs } = probe;
    const corrected = celsius === null ? null : applyCalibration(this.calibrations.get(rom) ?? null, celsius);
    return { celsius: corrected, quality, sequence, monotonicMs: arrivedMs };
  }

  private board(nowMs: number): Board {
    const status = this.view?.status;
    if (!this.linkUp(nowMs) || !status) {
      const fault = this.view?.fault;
      const unknown = { regulatingClosed: null, guardClosed: null, levelOk: null };
      return { link: 'down', ...unknown, leaseRefused: fault ? faultWords(fault) : null, latched: null };
    }
    const { latchedCause, latchedDetail, regulatingClosed, guardClosed, guardFitted, waterPresent } = status;
    const { firmware } = status;
    const news = firmware === this.toldFirmware ? {} : { firmware };
    this.toldFirmware = firmware;
    return {
      link: 'up',
      regulatingClosed,
      guardClosed: guardFitted ? guardClosed : null,
      levelOk: waterPresent,
      leaseRefused: this.probesFault ?? this.refused(nowMs),
      latched: latchedCause === 0 ? null : this.latchedWords(latchedCause, latchedDetail),
      ...news,
    };
  }

  private latchedWords(cause: number, detail: number): string {
    const refused = this.clearing?.words ?? null;
    const words = latchWords(cause, detail);
    return refused === null ? words : `${words}. It was asked to clear that and did not: ${refused}`;
  }

  private refused(nowMs: number): string | null {
    const answer = this.view?.answer;
    if (answer?.kind !== 'lease' || nowMs - answer.arrivedMs > REFUSED_MS) return null;
    if (answer.tag !== this.refusedTag) {
      this.refusedTag = answer.tag;
      this.refusals = answer.code === 0 ? 0 : this.refusals + 1;
    }
    const tell = this.refusals >= (PASSING.has(answer.code) ? 2 : 1);
    return tell ? refusalWords(answer.code, answer.detail) : null;
  }
}

/** A clear that a person asked for; `words` once it was refused. */
interface Clearing {
  readonly tag: number;
  readonly askedMs: number;
  readonly words: string | null;
}

const OVER_TEMPERATURE = TRIP_CAUSES.indexOf('overTemperature');
/** A clear that was not answered by then got lost. */
const CLEAR_MS = 3000;
/** Stand-by between two pulses of heat, renewed like a lease. */
const STAND_BY_MS = 1600;

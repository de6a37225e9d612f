import { avrInstruction, type CPU } from 'avr8js';

/*
 * The instructions that firmware executes most, decoded through a table; all others go to avr8js, whose decoder is a
 * chain of comparisons. Encodings, operation and flags: Microchip "AVR Instruction Set Manual" DS40002198. A test runs
 * every opcode here against avr8js on random machines.
 */

const SREG = 0x5f;
const SPL = 0x5d;
const SPH = 0x5e;
const C = 0x01;
const Z = 0x02;
const N = 0x04;
const V = 0x08;
const S = 0x10;
const H = 0x20;

/** Encodings: bits that tell the instruction, their value, and its number in the switch below. */
const FORMS: readonly (readonly [mask: number, value: number, kind: number])[] = [
  [0xfe0f, 0x9000, 1], // LDS
  [0xfe0f, 0x9200, 2], // STS
  [0xfe0f, 0x920f, 3], // PUSH
  [0xfe0f, 0x900f, 4], // POP
  [0xfc00, 0xf000, 5], // BRBS
  [0xfc00, 0xf400, 6], // BRBC
  [0xf000, 0xe000, 7], // LDI
  [0xf000, 0xc000, 8], // RJMP
  [0xf800, 0xb000, 9], // IN
  [0xf800, 0xb800, 10], // OUT
  [0xfc00, 0x2c00, 11], // MOV
  [0xff00, 0x0100, 12], // MOVW
  [0xfc00, 0x1400, 13], // CP
  [0xfc00, 0x0400, 14], // CPC
  [0xf000, 0x3000, 15], // CPI
  [0xfc00, 0x1800, 16], // SUB
  [0xfc00, 0x0800, 17], // SBC
  [0xf000, 0x5000, 18], // SUBI
  [0xf000, 0x4000, 19], // SBCI
  [0xfc00, 0x2400, 20], // EOR
  [0xfc00, 0x2000, 21], // AND
  [0xfc00, 0x2800, 22], // OR
  [0xf000, 0x7000, 23], // ANDI
  [0xfc00, 0x0c00, 24], // ADD
  [0xfc00, 0x1c00, 25], // ADC
];

const KIND = new Uint8Array(65_536);
for (const [mask, value, kind] of FORMS) {
  for (let opcode = 0; opcode < KIND.length; opcode += 1) if ((opcode & mask) === value) KIND[opcode] = kind;
}

const slow = avrInstruction;

/** Whether an opcode is executed here rather than by avr8js. */
export const isQuick = (opcode: number): boolean => KIND[opcode] !== 0;

/** Flags of d - r - borrow in the form of SREG, without Z. */
function subtractFlags(d: number, r: number, result: number, borrowOut: boolean): number {
  const negative = result & 0x80 ? N : 0;
  const overflow = (d ^ r) & (d ^ result) & 0x80 ? V : 0;
  const half = ((~d & r) | (r & result) | (result & ~d)) & 0x08 ? H : 0;
  const sign = (negative !== 0) !== (overflow !== 0) ? S : 0;
  return negative | overflow | half | sign | (borrowOut ? C : 0);
}

/** Sets flags of d - r - borrow and gives the result; with `carried` Z can only be cleared. */
function subtract(data: Uint8Array, d: number, r: number, borrow: number, carried: boolean): number {
  const result = (d - r - borrow) & 0xff;
  const old = data[SREG]!;
  const zero = result === 0 && (!carried || (old & Z) !== 0) ? Z : 0;
  data[SREG] = (old & 0xc0) | subtractFlags(d, r, result, d < r + borrow) | zero;
  return result;
}

function add(data: Uint8Array, d: number, r: number, carry: number): number {
  const sum = d + r + carry;
  const result = sum & 0xff;
  const negative = result & 0x80 ? N : 0;
  const overflow = ~(d ^ r) & (d ^ result) & 0x80 ? V : 0;
  const half = ((d & r) | (r & ~result) | (~result & d)) & 0x08 ? H : 0;
  const sign = (negative !== 0) !== (overflow !== 0) ? S : 0;
  const zero = result === 0 ? Z : 0;
  data[SREG] = (data[SREG]! & 0xc0) | negative | overflow | half | sign | zero | (sum > 0xff ? C : 0);
  return result;
}

function logic(data: Uint8Array, result: number): number {
  const negative = result & 0x80 ? N | S : 0;
  data[SREG] = (data[SREG]! & ~(N | S | Z | V)) | negative | (result === 0 ? Z : 0);
  return result;
}

/** Executes one instruction: pc, cycles, registers, memory and flags as the manual says. */
export function step(cpu: CPU): void {
  const words = cpu.progMem;
  const opcode = words[cpu.pc]!;
  const kind = KIND[opcode]!;
  if (kind === 0) {
    slow(cpu);
    return;
  }
  const { data } = cpu;
  if (kind > 10) arithmetic(data, opcode, kind);
  else if (kind <= 2) {
    const register = (opcode >> 4) & 0x1f;
    const address = words[cpu.pc + 1]!;
    if (kind === 1) data[register] = cpu.readData(address);
    else cpu.writeData(address, data[register]!);
    cpu.pc += 1;
    cpu.cycles += 1;
  } else if (kind <= 4) stack(cpu, (opcode >> 4) & 0x1f, kind === 3);
  else if (kind <= 6) {
    const set = (data[SREG]! & (1 << (opcode & 7))) !== 0;
    if (set === (kind === 5)) {
      cpu.pc += ((opcode >> 3) & 0x7f) - (opcode & 0x200 ? 0x80 : 0);
      cpu.cycles += 1;
    }
  } else if (kind === 7) data[16 + ((opcode >> 4) & 0x0f)] = ((opcode >> 4) & 0xf0) | (opcode & 0x0f);
  else if (kind === 8) {
    cpu.pc += (opcode & 0xfff) - (opcode & 0x800 ? 0x1000 : 0);
    cpu.cycles += 1;
  } else {
    const register = (opcode >> 4) & 0x1f;
    const address = 0x20 + ((opcode & 0x0f) | ((opcode >> 5) & 0x30));
    if (kind === 9) data[register] = cpu.readData(address);
    else cpu.writeData(address, data[register]!);
  }
  cpu.pc = (cpu.pc + 1 + words.length) % words.length;
  cpu.cycles += 1;
}

function stack(cpu: CPU, register: number, push: boolean): void {
  const { data } = cpu;
  let pointer = data[SPL]! | (data[SPH]! << 8);
  if (push) {
    data[pointer] = data[register]!;
    pointer = (pointer - 1) & 0xffff;
  } else {
    pointer = (pointer + 1) & 0xffff;
    data[register] = data[pointer]!;
  }
  data[SPL] = pointer & 0xff;
  data[SPH] = pointer >> 8;
  cpu.cycles += 1;
}

function arithmetic(data: Uint8Array, opcode: number, kind: number): void {
  const d = (opcode >> 4) & 0x1f;
  const r = (opcode & 0x0f) | ((opcode >> 5) & 0x10);
  const high = 16 + (d & 0x0f);
  const literal = ((opcode >> 4) & 0xf0) | (opcode & 0x0f);
  const carry = data[SREG]! & C;
  switch (kind) {
    case 11:
      data[d] = data[r]!;
      break;
    case 12:
      data[2 * (d & 0x0f)] = data[2 * (opcode & 0x0f)]!;
      data[2 * (d & 0x0f) + 1] = data[2 * (opcode & 0x0f) + 1]!;
      break;
    case 13:
      subtract(data, data[d]!, data[r]!, 0, false);
      break;
    case 14:
      subtract(data, data[d]!, data[r]!, carry, true);
      break;
    case 15:
      subtract(data, data[high]!, literal, 0, false);
      break;
    case 16:
      data[d] = subtract(data, data[d]!, data[r]!, 0, false);
      break;
    case 17:
      data[d] = subtract(data, data[d]!, data[r]!, carry, true);
      break;
    case 18:
      data[high] = subtract(data, data[high]!, literal, 0, false);
      break;
    case 19:
      data[high] = subtract(data, data[high]!, literal, carry, true);
      break;
    case 20:
      data[d] = logic(data, data[d]! ^ data[r]!);
      break;
    case 21:
      data[d] = logic(data, data[d]! & data[r]!);
      break;
    case 22:
      data[d] = logic(data, data[d]! | data[r]!);
      break;
    case 23:
      data[high] = logic(data, data[high]! & literal);
      break;
    default:
      data[d] = add(data, data[d]!, data[r]!, kind === 25 ? carry : 0);
  }
}

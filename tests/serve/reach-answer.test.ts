import { describe, expect, it } from 'vitest';
import {
  ANSWER_WITHIN_MS,
  codeFrom,
  codeHash,
  mayTest,
  TEST_PAUSE_MS,
} from '../../controller/reach/reachable.ts';
import { Bench, HUT, no } from './reach-bench.ts';

const ids = (bench: Bench): string[] => [...bench.parts.roster.channels.keys()];

describe('"Can I be reached?"', () => {
  it('sends a code by the channel, and the answer is proof for that channel, with its date', () => {
    const bench = new Bench();
    const [push, mail] = ids(bench);
    const code = bench.test(mail!, 7);
    bench.step();
    expect(bench.calls('test')).toEqual(['cook mail@0']);
    expect(bench.sent[0]?.text).toContain(code);
    bench.pass(300);
    expect(bench.answer(code)).toEqual({
      personId: 'cook',
      channelId: mail,
      clockMs: 300_000,
      wallMs: bench.wallMs,
    });
    expect(bench.state.answers.map((one) => one.channelId)).toEqual([mail]);
    expect(bench.state.answers.some((one) => one.channelId === push)).toBe(false);
    expect(bench.lines()).toEqual(['cook accepted', 'cook answered']);
  });

  it('counts a code once, and no other code', () => {
    const bench = new Bench();
    const code = bench.test(ids(bench)[0]!, 7);
    expect(bench.answer('0000-0000')).toBeNull();
    expect(bench.answer(code)).not.toBeNull();
    expect(bench.answer(code)).toBeNull();
  });

  it('counts no answer after a day, nor to a test that another has replaced', () => {
    const bench = new Bench();
    const old = bench.test(ids(bench)[0]!, 1);
    const code = bench.test(ids(bench)[0]!, 2);
    expect(bench.answer(old)).toBeNull();
    bench.clockMs += ANSWER_WITHIN_MS;
    expect(bench.answer(code)).toBeNull();
    expect(bench.state.tests).toEqual([]);
  });

  it('takes a code as people type it: small letters, spaces, O for 0, L and I for 1', () => {
    expect(codeHash('olI2-abcd')).toBe(codeHash('0112 ABCD'));
    expect(codeHash('0112ABCD')).not.toBe(codeHash('0112ABCE'));
  });

  it('makes codes of all 40 bits, from letters and digits nobody takes for another', () => {
    expect(codeFrom(new Uint8Array([0, 0, 0, 0, 0]))).toBe('0000-0000');
    expect(codeFrom(new Uint8Array([255, 255, 255, 255, 255]))).toBe('ZZZZ-ZZZZ');
    // By hand: 00000 00100 10001 10100 01010 11001 11100 01001 are 0, 4, 17, 20, 10, 25, 28 and 9.
    expect(codeFrom(new Uint8Array([0x01, 0x23, 0x45, 0x67, 0x89]))).toBe('04HM-ASW9');
  });

  it('survives a restart, and keeps no code once its message is gone', () => {
    const bench = new Bench();
    const code = bench.test(ids(bench)[0]!, 7);
    bench.pass(2).restart();
    expect(JSON.stringify(bench.state)).not.toContain(code);
    expect(bench.answer(code)).not.toBeNull();
  });

  it('is not sent again by the same channel within a minute', () => {
    const bench = new Bench();
    const [push, mail] = ids(bench);
    bench.test(push!, 1);
    expect(mayTest(bench.state, push!, TEST_PAUSE_MS - 1)).toBe(false);
    expect(mayTest(bench.state, push!, TEST_PAUSE_MS)).toBe(true);
    expect(mayTest(bench.state, mail!, 1)).toBe(true);
  });

  it('is sent in quiet hours too, because somebody has just asked for it', () => {
    const bench = new Bench({ ...HUT, quietHours: { from: '22:00', to: '06:00' } });
    bench.test(ids(bench)[0]!, 1);
    bench.step();
    expect(bench.calls('test')).toHaveLength(1);
  });

  it('gives up after three attempts, and calls nobody else', () => {
    const bench = new Bench();
    bench.answers.push = no();
    bench.test(ids(bench)[0]!, 1);
    bench.pass(600);
    expect(bench.calls('test')).toHaveLength(3);
    expect(bench.calls()).toEqual([]);
  });

  it('forgets proof for a channel that is no longer in the configuration', () => {
    const bench = new Bench();
    bench.answer(bench.test(ids(bench)[0]!, 1));
    const other = new Bench({ ...HUT, people: HUT.people.slice(1) });
    other.state = bench.state;
    expect(other.step().state.answers).toEqual([]);
  });
});

import { describe } from 'vitest';
import { HEAT_KINDS } from './kinds/heat.ts';
import { PROBE_KINDS } from './kinds/probe.ts';
import { holdKinds } from './reduced.ts';

describe('a probe that lies', () => holdKinds(PROBE_KINDS));
describe('heat that does not come, or comes unasked', () => holdKinds(HEAT_KINDS));

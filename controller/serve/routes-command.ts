import type { FastifyInstance, FastifyRequest } from 'fastify';
import { type Command, type CommandResult, commandSchema, GUARDED } from '../../shared/wire/command.ts';
import { issueLines } from '../../shared/wire/config.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { plantEventSchema } from '../../shared/wire/plant.ts';
import { addressOf, phoneOf, type ServeContext, UNPAIRED } from './context.ts';
import { isErrorCode, sendError } from './errors.ts';

/** POST /api/command: one command of a person. Also /api/plant, for the simulated bath. */
export function addCommandRoutes(app: FastifyInstance, context: ServeContext): void {
  const { audit } = context;
  const submit = makeSubmit(context);

  app.post('/api/command', async (request, reply) => {
    const phone = phoneOf(context, request);
    const who = phone?.name ?? UNPAIRED;
    const command = parseCommand(request.body, who);
    const address = addressOf(request);
    const { rates } = context;
    const rate = command.kind === 'stop-heat' ? rates.stops : rates.commands;
    const waitS = rate.take(address);
    if (waitS > 0) return sendError(reply, new BathkeeperError('too-many-requests'), waitS);
    const entry = { did: command.kind, address, who };
    if (GUARDED.has(command.kind) && phone === null) {
      audit.refused({ ...entry, outcome: 'not-paired' });
      throw new BathkeeperError('not-paired');
    }
    const result = await submit(command).catch((error: unknown) => {
      audit.refused({ ...entry, outcome: error instanceof BathkeeperError ? error.code : 'failed' });
      throw error;
    });
    const detail = JSON.stringify(command);
    if (result.accepted) {
      audit.done({ ...entry, outcome: 'accepted', detail });
      return result;
    }
    audit.refused({ ...entry, outcome: String(result.code), detail });
    throw refusal(result);
  });

  addPlantRoutes(app, context);
}

/** The developer panel of the simulated bath; a real rig has no such thing. */
function addPlantRoutes(app: FastifyInstance, context: ServeContext): void {
  const { hub, audit } = context;
  app.get('/api/plant', async () => {
    if (hub.plant === null) throw new BathkeeperError('simulated-only');
    return hub.plant.truth();
  });
  app.post('/api/plant', async (request: FastifyRequest) => {
    if (hub.plant === null) throw new BathkeeperError('simulated-only');
    const phone = phoneOf(context, request);
    const entry = { did: 'plant', address: addressOf(request), who: phone?.name ?? UNPAIRED };
    if (phone === null) {
      audit.refused({ ...entry, outcome: 'not-paired' });
      throw new BathkeeperError('not-paired');
    }
    const parsed = plantEventSchema.safeParse(request.body);
    if (!parsed.success) throw new BathkeeperError('bad-request', issueLines(parsed.error).join('; '));
    hub.plant.apply(parsed.data);
    audit.done({ ...entry, outcome: 'accepted', detail: JSON.stringify(parsed.data) });
    return { accepted: true };
  });
}

/** The command with who gave it. A name in the body is overwritten: nobody speaks for another. */
function parseCommand(body: unknown, by: string): Command {
  if (typeof body !== 'object' || body === null || Array.isArray(body)) {
    throw new BathkeeperError('bad-request', 'Expected one command as a JSON object.');
  }
  const parsed = commandSchema.safeParse({ ...body, by });
  if (!parsed.success) throw new BathkeeperError('bad-request', issueLines(parsed.error).join('; '));
  return parsed.data;
}

function refusal(result: CommandResult): BathkeeperError {
  const code = isErrorCode(result.code) ? result.code : 'bad-request';
  return new BathkeeperError(code, result.detail ?? '');
}

/** Hands a command on, with a bound on how many wait and on how long. What everyone may do is never turned away. */
function makeSubmit(context: ServeContext): (command: Command) => Promise<CommandResult> {
  const { hub, limits } = context;
  let waiting = 0;
  return async (command) => {
    if (GUARDED.has(command.kind) && waiting >= limits.commandsInFlight) {
      throw new BathkeeperError('too-many-requests', `${waiting} commands are waiting already.`);
    }
    waiting += 1;
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new BathkeeperError('not-answering')), limits.commandMs);
    });
    try {
      return await Promise.race([hub.submit(command), late]);
    } finally {
      clearTimeout(timer);
      waiting -= 1;
    }
  };
}

import { expect, it } from 'vitest';
import { openMqtt } from '../../controller/reach/edge/mqtt.ts';
import { reachSchema } from '../../shared/wire/reach.ts';
import { Listener, pause, startBroker } from './reach-broker.ts';
import { HERE, means, message, patience } from './reach-servers.ts';

it('MQTT goes on after a refused login once the password is right, by one connection only', async () => {
  const strict = await startBroker({ user: 'bath', password: 'broker pass' });
  const env: Record<string, string> = { BROKER: 'an old one' };
  const mqtt = { host: HERE, port: strict.port, tls: false, user: 'bath', password: { env: 'BROKER' } };
  const made = openMqtt(reachSchema.parse({ mqtt }).mqtt!, means({ env }), 'bathkeeper-test-again', 100);
  const refused = async () => {
    const outcome = await made.check(patience());
    return !outcome.ok && outcome.permanent;
  };
  while (!(await refused())) await pause(10);
  env.BROKER = 'broker pass';
  await Promise.all([made.check(patience()), made.check(patience()), made.send(message(), patience())]);
  while (!(await made.check(patience())).ok) await pause(10);
  const login = { username: 'bath', password: 'broker pass' };
  const listener = await Listener.at(strict.port, 'bathkeeper/availability', login);
  // Two of one name would throw each other out, which the broker would tell by the last will.
  await pause(500);
  expect(listener.got.map(({ payload }) => payload)).toEqual(['online']);
  expect(await made.send(message(), patience())).toMatchObject({ ok: true });
  await listener.close();
  await made.close();
  await strict.stop();
});

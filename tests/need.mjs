import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const has = (command) => spawnSync('sh', ['-c', `command -v ${command}`], { stdio: 'ignore' }).status === 0;
let updated = false;

/**
 * Makes sure that a command the tests need is there. On Debian as root the package is installed; elsewhere it throws
 * an error that says exactly what to install. Never a silent skip.
 * @param {string} packageName Debian package, or several with spaces between
 * @param {string} commandName the command it brings
 */
export async function need(packageName, commandName) {
  if (has(commandName)) return;
  const line = `apt-get install -y ${packageName}`;
  const debian = existsSync('/etc/debian_version') && has('apt-get');
  if (!debian || process.getuid?.() !== 0) {
    throw new Error(
      `The tests need "${commandName}". ${debian ? `Run as root: ${line}` : `Install it with your package manager (on Debian: ${line})`}`,
    );
  }
  if (!updated) run('apt-get update -qq');
  updated = true;
  run(`DEBIAN_FRONTEND=noninteractive ${line} -qq`);
  if (!has(commandName)) throw new Error(`"${line}" did not bring "${commandName}".`);
}

function run(command) {
  const done = spawnSync('sh', ['-c', command], { encoding: 'utf8' });
  if (done.status !== 0) throw new Error(`"${command}" failed:\n${done.stdout}\n${done.stderr}`);
}

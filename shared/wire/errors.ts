/** What every refusal or failure says: its cause and what to do about it. */
export interface ErrorEntry {
  readonly cause: string;
  readonly action: string;
  readonly http: number;
}

/** The one registry of error codes; the table in DEVELOPERS.md is checked against it. */
export const ERRORS = {
  'bad-request': {
    cause: 'The message was not of the expected form.',
    action: 'Reload the page; if you wrote the request yourself, mend the fields named.',
    http: 400,
  },
  'too-large': {
    cause: 'The message was larger than this server accepts.',
    action: 'Send less at once.',
    http: 413,
  },
  'not-found': {
    cause: 'There is nothing at that address.',
    action: 'Check the address or the id.',
    http: 404,
  },
  'host-refused': {
    cause: 'The request used a host name this server does not know as its own.',
    action:
      'Open the page by an address printed at start, or add the name to allowedHosts in bathkeeper.json.',
    http: 421,
  },
  'origin-refused': {
    cause: 'The request came from a page of another origin.',
    action: 'Use the page this controller serves.',
    http: 403,
  },
  'not-paired': {
    cause: 'This phone is not paired, and the command goes in the riskier direction.',
    action: 'Enter the pairing code that the controller printed. Stopping the heat needs no pairing.',
    http: 401,
  },
  'wrong-code': {
    cause: 'The pairing code was not right.',
    action: 'Read the code again from the controller; it changes after use and after too many guesses.',
    http: 403,
  },
  'too-many-guesses': {
    cause: 'Too many wrong pairing codes were tried.',
    action: 'Wait a minute and use the new code that the controller printed.',
    http: 429,
  },
  'too-many-requests': { cause: 'Too many requests in a short time.', action: 'Wait a moment.', http: 429 },
  'cook-running': {
    cause: 'A cook is already running on this bath.',
    action: 'Take the food out and end that cook first.',
    http: 409,
  },
  'cook-exists': {
    cause: 'A cook with that id is in the log already.',
    action: 'Start it under another id; the page makes one by itself.',
    http: 409,
  },
  'no-cook': { cause: 'No cook is running.', action: 'Start a cook first.', http: 409 },
  'bag-unknown': {
    cause: 'There is no such bag in this cook.',
    action: 'Choose one of the bags shown.',
    http: 404,
  },
  'bag-exists': {
    cause: 'A bag with that id is in this cook already.',
    action: 'Use another id, or edit that bag.',
    http: 409,
  },
  'bag-out': { cause: 'That bag was already taken out.', action: 'Add it as a new bag.', http: 409 },
  'not-chilling': {
    cause: 'That bag has no open record of its cooling.',
    action: 'A record begins when a bag is taken out to chill, and ends when it is put away.',
    http: 409,
  },
  'chill-open': {
    cause: 'A bag of the last cook is still being chilled, and its record would be lost.',
    action: 'Say what became of that bag first: put away, frozen, served or thrown away.',
    http: 409,
  },
  'reading-too-old': {
    cause:
      'A reading cannot count from before the bag was taken out, nor one of a bag in the bath from earlier.',
    action: 'Enter when it was taken; in the bath, take a new one.',
    http: 409,
  },
  'too-many-bags': {
    cause: 'Eight bags are the most that one bath holds.',
    action: 'Take one out first.',
    http: 409,
  },
  'bags-in': {
    cause: 'There are still bags in the bath.',
    action: 'Take each bag out first, so that the record says when each left the heat.',
    http: 409,
  },
  'cut-unknown': {
    cause: 'There is no such cut in the tables.',
    action: 'Choose a cut from the list.',
    http: 400,
  },
  'setpoint-low': {
    cause: 'The setpoint is below 57.2 °C (135 °F), where food kept long can grow dangerous bacteria.',
    action:
      'Raise it, or confirm that you know the consequence: the alarm then stands only 1.0 K under the setpoint.',
    http: 409,
  },
  'setpoint-over-limit': {
    cause: 'The setpoint is too close to the hard maximum of this rig.',
    action: 'Choose a setpoint at least 2.0 K under the hard maximum.',
    http: 409,
  },
  'alarm-unknown': { cause: 'That alarm is not standing.', action: 'Nothing to do.', http: 409 },
  'alarm-not-shelvable': {
    cause: 'That alarm may not be set aside so.',
    action: 'Acknowledge it instead: it stays silent while its cause stands. Mend the cause.',
    http: 409,
  },
  'alarm-not-aside': {
    cause: 'That alarm is neither shelved nor out of service.',
    action: 'Nothing to do: it rings as ever.',
    http: 409,
  },
  'consequence-unconfirmed': {
    cause: 'Nobody confirmed what may follow while that alarm is not heard.',
    action: 'Read the consequence and confirm it.',
    http: 409,
  },
  'command-id-used': {
    cause: 'The id of that command was used for another command before.',
    action: 'Reload the page and give the command again.',
    http: 409,
  },
  'alarm-active': {
    cause: 'The condition behind that alarm still holds.',
    action: 'Mend the cause first; then clear it.',
    http: 409,
  },
  'not-at-bath': {
    cause: 'That trip is cleared only by somebody who stands at the bath and has looked.',
    action: 'Go to the bath, mend the cause, and confirm that you are there.',
    http: 409,
  },
  'not-fit-unattended': {
    cause: 'This rig lacks something that a cook left alone needs.',
    action: 'Mend what is named, or stay with the cook and give a sign when asked.',
    http: 409,
  },
  'no-question': { cause: 'Nothing was asked.', action: 'Nothing to do.', http: 409 },
  'simulated-only': {
    cause: 'This works only on the simulated rig.',
    action: 'Start the controller with --rig simulated.',
    http: 403,
  },
  'not-answering': {
    cause: 'The control loop did not answer in time; the command may still be carried out.',
    action: 'Check the controller. If the bath is heating, switch it off at the plug.',
    http: 503,
  },
  internal: {
    cause: 'Something failed in the controller that should not.',
    action:
      'Look at what the controller printed. If the bath is heating and you are in doubt, pull the plug.',
    http: 500,
  },
  'too-many-viewers': {
    cause: 'More pages are open than this controller serves.',
    action: 'Close the page on another phone.',
    http: 503,
  },
  'journal-failed': {
    cause: 'The log could not be written.',
    action: 'Check the disk: free space, and that it can be written. Heat stays off until the log works.',
    http: 503,
  },
  'journal-unreadable': {
    cause: 'The log could not be read.',
    action: 'Check the disk and that the data folder can be read; the log itself was not touched.',
    http: 503,
  },
  'cook-unknown': {
    cause: 'There is no such cook in the log.',
    action: 'List the cooks with: bathkeeper export --list',
    http: 404,
  },
  'plan-unknown': {
    cause: 'There is no such plan.',
    action: 'Choose one of the plans shown; it may have been deleted on another phone.',
    http: 404,
  },
  'plan-refused': {
    cause: 'This job cannot be planned as it was asked for.',
    action: 'Mend what is named, and plan again.',
    http: 400,
  },
  'plan-changed': {
    cause: 'Another phone has changed this plan since you opened it.',
    action: 'Look at it as it is now, and change it again.',
    http: 409,
  },
  'plan-running': {
    cause: 'A cook is running on this plan.',
    action: 'Move dinner instead, or make a new plan; this one stays as it was until the cook has ended.',
    http: 409,
  },
  'too-many-plans': {
    cause: 'As many plans are kept as there is room for, all of them still to come.',
    action: 'Delete one that is not needed.',
    http: 409,
  },
  'port-busy': {
    cause: 'The port of the page is in use by another program.',
    action: 'Stop the other program, or choose another port with --port.',
    http: 503,
  },
  'database-busy': {
    cause: 'Another process has this log open.',
    action: 'Stop the other controller, or give this one a data folder of its own (--data).',
    http: 503,
  },
  'database-missing': {
    cause: 'The SQLite library could not be loaded.',
    action:
      'On Debian: apt-get install -y g++ make python3 && npm rebuild better-sqlite3. Elsewhere: install a C++ compiler, make and Python 3, then npm rebuild better-sqlite3.',
    http: 503,
  },
  'rig-not-set': {
    cause: 'No board, or no bath probe, is set for this rig.',
    action: 'Run: bathkeeper rig',
    http: 503,
  },
  'rig-port-missing': {
    cause: 'The serial port of the board is not there, or it went away.',
    action: 'Plug in the USB cable, then see which ports there are with: bathkeeper rig --list',
    http: 503,
  },
  'rig-port-denied': {
    cause: 'This user may not open the serial port.',
    action:
      'On Linux: sudo usermod -aG dialout $USER, then log in again; or install the udev rule of hardware/deploy.',
    http: 503,
  },
  'rig-port-busy': {
    cause: 'Another program has the serial port open.',
    action: 'Close it (a serial monitor, another controller), or unplug and plug in the board.',
    http: 503,
  },
  'rig-mute': {
    cause: 'The board does not speak.',
    action:
      'Check the cable and the port; press the reset button of the board; flash the firmware if it has none.',
    http: 503,
  },
  'rig-foreign-firmware': {
    cause:
      'The board runs firmware that is not of this project. Its probes may be read; it is never heated with.',
    action: 'Flash hardware/firmware/image/two-switch.hex as hardware/deploy says.',
    http: 503,
  },
  'rig-firmware-mismatch': {
    cause: 'The firmware of the board does not fit this controller.',
    action: 'Flash the image in hardware/firmware/image that came with this version.',
    http: 503,
  },
  'rig-limits-refused': {
    cause: 'The board did not take the limits of this rig.',
    action: 'Check limits and rig in bathkeeper.json against: bathkeeper rig --list',
    http: 503,
  },
  'rig-analogue-bath': {
    cause:
      'The bath probe is on an analogue pin, and the board runs our firmware, which reads none of those.',
    action:
      'Give a DS18B20 on the board’s 1-Wire the role bath; or, only to read, use a board without our firmware. Nothing is heated by an analogue probe.',
    http: 503,
  },
  'rig-child-lost': {
    cause: 'The process that talks to the board has ended or hangs.',
    action: 'It is started again by itself; if that does not help, unplug and plug in the board.',
    http: 503,
  },
} as const satisfies Record<string, ErrorEntry>;

export type ErrorCode = keyof typeof ERRORS;

/** An error with a code of the registry; `detail` says what was wrong here. */
export class BathkeeperError extends Error {
  readonly code: ErrorCode;
  readonly detail: string;

  constructor(code: ErrorCode, detail = '') {
    super(`${ERRORS[code].cause}${detail ? ` ${detail}` : ''} ${ERRORS[code].action}`);
    this.name = 'BathkeeperError';
    this.code = code;
    this.detail = detail;
  }

  /** What goes on the wire. */
  toJSON(): { code: ErrorCode; cause: string; action: string; detail: string } {
    const entry = ERRORS[this.code];
    return { code: this.code, cause: entry.cause, action: entry.action, detail: this.detail };
  }
}

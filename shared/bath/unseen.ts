/**
 * Faults that a rig cannot see, whatever its controller does, because they do not show in what it measures. The page and
 * the papers say so; the fault campaign excuses a limit only where it names one of these, and measures how often each
 * comes through. Data, not code: words for people.
 */
export interface Unseen {
  readonly fault: string;
  /** Which rigs. */
  readonly rigs: string;
  /** Why no reading shows it, or not in time. */
  readonly why: string;
  /** What a person or another part can do about it. */
  readonly help: string;
  /** Which rigs it concerns, for a page that knows what the rig at hand has. */
  readonly when: UnseenWhen;
}

export type UnseenWhen =
  | 'any rig'
  | 'one probe'
  | 'two probes'
  | 'no level switch'
  | 'level switch'
  | 'one switch'
  | 'two switches';

/** What of a rig decides which faults it cannot see. */
export interface Seeing {
  readonly secondProbe: boolean;
  readonly levelSwitch: boolean;
  readonly guardSwitch: boolean;
}

export const UNSEEN = {
  'lone-probe-drifts': {
    fault: 'A lone water probe that drifts slowly.',
    rigs: 'One water probe.',
    why: 'Control follows the probe, so the reading stays at the setpoint while the water leaves it. A drift of a degree an hour looks like a small change of the loss.',
    help: 'Hang a second probe. Without one, measure the water by hand every hour.',
    when: 'one probe',
  },
  'lone-probe-wrong': {
    fault: 'A lone water probe that has been wrong by the same amount from the start.',
    rigs: 'One water probe.',
    why: 'A constant error changes nothing that the controller could compare.',
    help: 'Calibrate the probe at the ice point and near the setpoint, and hang a second one.',
    when: 'one probe',
  },
  'pump-one-probe': {
    fault: 'A pump that has stopped.',
    rigs: 'One water probe.',
    why: 'One probe sees one layer of the water. What happens in the other layer changes it too little and too late.',
    help: 'Hang a second probe below the element. Look at the pump when you look at the food.',
    when: 'one probe',
  },
  'pump-under-lid': {
    fault: 'A pump that stops while a well covered bath holds its temperature.',
    rigs: 'Any.',
    why: 'Little heat flows, so the layers part by less than the probes’ noise within ten minutes. It shows within the hour, or as soon as much heat is asked for.',
    help: 'Look at the pump when you look at the food.',
    when: 'two probes',
  },
  'pump-alike': {
    fault: 'A pump that stops, where both probes feel the same layer.',
    rigs: 'Two probes hung at the same height, or a pump that moved less water than the heat does by itself.',
    why: 'Two probes in one layer agree whatever the other layer does.',
    help: 'Hang the second probe below the element, the first above it.',
    when: 'two probes',
  },
  'bag-afloat': {
    fault: 'A bag that comes up.',
    rigs: 'Any.',
    why: 'The heat that a bag draws changes less by its coming up than by a few millimetres of thickness, which nobody knows. The core answers after an hour.',
    help: 'Ballast every bag. Look, and look again after an hour: gas gathers while food warms.',
    when: 'any rig',
  },
  'lid-off-cold': {
    fault: 'A lid that is off while the water is still being heated up.',
    rigs: 'Any.',
    why: 'Cool water loses little, lid or no lid: less than the supply voltage wanders by itself. It shows once the water is hot.',
    help: 'Put the lid on.',
    when: 'any rig',
  },
  'leak-unseen': {
    fault: 'A leak.',
    rigs: 'No level switch.',
    why: 'Water that leaves takes its heat along and leaves the temperature where it was. The thermometer shows it once the probe hangs in the air, and the element may be bare by then.',
    help: 'Fit a level switch. Without one, stay with the bath and look at the level.',
    when: 'no level switch',
  },
  'leak-above-switch': {
    fault: 'A leak, until the water has fallen to the level switch.',
    rigs: 'With a level switch.',
    why: 'The switch is the only part that feels the level, and it hangs where it hangs. Heat is off before the element shows, however fast the leak; but a fast leak crosses the way from switch to element in less than a quarter of an hour.',
    help: 'Hang the level switch high. Stand the box where a leak is seen.',
    when: 'level switch',
  },
  'level-switch-stuck-wet': {
    fault: 'A leak, with a level switch that is stuck.',
    rigs: 'With a level switch.',
    why: 'Two faults at once: the only part that feels the level says that all is well.',
    help: 'Lift the level switch out of the water before each cook: heat must stop.',
    when: 'level switch',
  },
  'lone-switch-welds': {
    fault: 'A switch that welds shut, where there is no other.',
    rigs: 'One switch.',
    why: 'It is seen and alarmed, but nothing is left that could open the circuit. On a slow rig its heat needs minutes to reach the probe.',
    help: 'Fit a guard switch and an independent cut-out. Without them stay with the bath and pull the plug.',
    when: 'one switch',
  },
  'both-switches-weld': {
    fault: 'Both switches welded shut.',
    rigs: 'Two switches.',
    why: 'It is seen and alarmed, but nothing is left that could open the circuit.',
    help: 'Fit an independent manual-reset cut-out; it needs neither switch nor controller. Pull the plug.',
    when: 'two switches',
  },
  'weld-behind-guard': {
    fault: 'A regulating switch that has welded shut behind a guard that works.',
    rigs: 'Two switches whose board does not feel its contacts.',
    why: 'The guard opens within seconds of every pulse, so little heat comes that was not asked for. It is named by a trial of the guard alone, mostly within the hour; a noisy probe may hide it for longer.',
    help: 'A board that feels its contacts names it at once.',
    when: 'two switches',
  },
  'stuck-or-dead': {
    fault: 'Whether a reading that stands still is a stuck probe or a dead element.',
    rigs: 'Any.',
    why: 'Heat is off within a minute either way, and that something is wrong is told. Which of the two it is shows only once the water must have cooled by some digits, in a well insulated box after an hour.',
    help: 'Measure the water by hand.',
    when: 'any rig',
  },
  'dead-or-losing': {
    fault: 'Whether water that cools gets no heat, or loses more than it should.',
    rigs: 'Any.',
    why: 'That heat is missing is told within some minutes. Which of the two it is shows by switching the heat the other way, and on a slow rig or through a noisy probe now and then by a second try only, within 20 minutes.',
    help: 'Put the lid on, and look at plug, fuse and element as well.',
    when: 'any rig',
  },
  'guard-welds': {
    fault: 'A guard switch that has welded shut while the regulating one still works.',
    rigs: 'Two switches whose board does not feel its contacts.',
    why: 'The regulating switch opens as it should, so nothing is heated that should not be.',
    help: 'Commissioning tries each switch alone. Try them again every season.',
    when: 'two switches',
  },
  'hot-water-poured': {
    fault: 'Hot water poured in, more than the bath can take.',
    rigs: 'Any.',
    why: 'It is seen and alarmed, and heat is off at once; but nothing in the rig can take heat out.',
    help: 'Pour in cold water, a cup at a time.',
    when: 'any rig',
  },
  'dead-while-idle': {
    fault: 'A dead element while no heat is asked for.',
    rigs: 'Any.',
    why: 'Nothing is expected of it. It is named within ten minutes of the next heat asked for.',
    help: 'Nothing, until heat is asked for again.',
    when: 'any rig',
  },
} as const satisfies Record<string, Unseen>;

export type UnseenId = keyof typeof UNSEEN;

const CONCERNS: Readonly<Record<UnseenWhen, (rig: Seeing) => boolean>> = {
  'any rig': () => true,
  'one probe': (rig) => !rig.secondProbe,
  'two probes': (rig) => rig.secondProbe,
  'no level switch': (rig) => !rig.levelSwitch,
  'level switch': (rig) => rig.levelSwitch,
  'one switch': (rig) => !rig.guardSwitch,
  'two switches': (rig) => rig.guardSwitch,
};

/** The faults that this rig cannot see, in the order of the list. */
export function unseenBy(rig: Seeing): (Unseen & { readonly id: UnseenId })[] {
  return (Object.keys(UNSEEN) as UnseenId[])
    .map((id) => ({ id, ...UNSEEN[id] }))
    .filter(({ when }) => CONCERNS[when](rig));
}

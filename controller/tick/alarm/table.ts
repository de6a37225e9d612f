import type { AlarmId, Priority } from '../../../shared/wire/alarm.ts';

/** One rationalised alarm: what it means and how it behaves. Wording is data; the papers are made from it. */
export interface AlarmDefinition {
  readonly title: string;
  readonly priority: Priority;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** The condition must hold this long before the alarm stands, in seconds. */
  readonly onDelayS: number;
  /** The condition must be gone this long before the alarm returns, in seconds. */
  readonly offDelayS: number;
  /** A latching alarm stays after the condition has gone until a person clears it. */
  readonly latching: boolean;
}

/** Every alarm of the controller. Order = order of display within one priority. */
export const ALARMS: Readonly<Record<AlarmId, AlarmDefinition>> = {
  'over-temperature': {
    title: 'Water too hot',
    priority: 'high',
    cause: 'The water reached the hard maximum of this rig.',
    consequence: 'Scalds, damaged bags and box, food cooked past what was planned.',
    action:
      'Heat is off. If the water still gets hotter, pull the plug. Find the cause before you clear this.',
    onDelayS: 0,
    offDelayS: 30,
    latching: true,
  },
  'bath-below-hot-limit': {
    title: 'Bath in the danger zone',
    priority: 'high',
    cause: 'Food is in, and the water is below the hot-holding limit.',
    consequence:
      'Bacteria can grow in the food. Time in the danger zone adds up and later heat does not mend it.',
    action:
      'Lid on, check plug, fuse, element and pump. If the heat can not come back soon, take the food out and chill it fast.',
    onDelayS: 30,
    offDelayS: 30,
    latching: false,
  },
  'probe-invalid': {
    title: 'Water probe lost',
    priority: 'high',
    cause: 'There is no valid reading of the water temperature.',
    consequence: 'Heat is off, because nobody knows how hot the water is. The bath cools.',
    action: 'Check the probe and its plug. Measure the water by hand.',
    onDelayS: 0,
    offDelayS: 10,
    latching: false,
  },
  'heat-link-lost': {
    title: 'Heater board not answering',
    priority: 'high',
    cause: 'The board that switches the heater does not answer or refuses heat.',
    consequence: 'The board holds the heater off by itself. The bath cools.',
    action: 'Check the USB cable and the power of the board. Read the reason given here.',
    onDelayS: 3,
    offDelayS: 10,
    latching: false,
  },
  'journal-behind': {
    title: 'Log not writing',
    priority: 'high',
    cause: 'The log on the disk is more than 30 s behind.',
    consequence:
      'What happens now may not be on record, so nothing would prove the food is safe. Heat stops at 120 s.',
    action: 'Check free space and the disk.',
    onDelayS: 0,
    offDelayS: 10,
    latching: false,
  },
  'bath-high': {
    title: 'Bath above setpoint',
    priority: 'medium',
    cause: 'The water is well above the setpoint.',
    consequence: 'The food cooks faster than planned; if the heater is stuck on, the water will boil.',
    action: 'If it goes on rising, pull the plug. A cup of cold water brings a small overshoot down.',
    onDelayS: 120,
    offDelayS: 60,
    latching: false,
  },
  'bath-low': {
    title: 'Bath below setpoint',
    priority: 'medium',
    cause: 'The water has been well below the setpoint for some time.',
    consequence: 'The food will be ready later than forecast.',
    action: 'Lid on. Check plug, fuse, element, pump and water level.',
    onDelayS: 600,
    offDelayS: 60,
    latching: false,
  },
  'food-limit-broken': {
    title: 'A food safety limit is broken',
    priority: 'medium',
    cause:
      'A bag spent longer in dangerous temperatures than the rule in force allows, in the worst case of the model.',
    consequence: 'Toxins or spores may be there, and later heat destroys neither.',
    action:
      'Read the rule under that bag. The person in charge decides; where in doubt, throw it away, do not taste it.',
    onDelayS: 0,
    offDelayS: 0,
    latching: false,
  },
  'controller-restarted': {
    title: 'Controller was away',
    priority: 'medium',
    cause: 'The controller stopped and started again during a cook.',
    consequence: 'No heat was given and nothing was watched meanwhile.',
    action: 'Check the bath and each bag. The gap is on the record.',
    onDelayS: 0,
    offDelayS: 0,
    latching: false,
  },
  'load-unexplained': {
    title: 'Did food go in?',
    priority: 'low',
    cause: 'Something cold took heat from the water, and no bag was entered.',
    consequence: 'Unanswered for 10 minutes it counts as food in, from the dip on.',
    action: 'Answer the question on the page.',
    onDelayS: 0,
    offDelayS: 0,
    latching: false,
  },
};

/** The ids in order of display. */
export const ALARM_IDS = Object.keys(ALARMS) as AlarmId[];

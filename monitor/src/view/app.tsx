import { spokenAlarm, spokenCalm } from '../state/alerting.ts';
import { contact, status } from '../state/bath.ts';
import { notice } from '../state/errand.ts';
import { view } from '../state/view.ts';
import { Alarms } from './alarm.tsx';
import { Attended } from './attended.tsx';
import { Bags } from './bags.tsx';
import { Bath, NotConnected, Stage } from './bath.tsx';
import { CautionsPage } from './cautions.tsx';
import { Chart } from './chart.tsx';
import { Actions, Foot, Happened, StopBar, WatchTrouble } from './foot.tsx';
import { AllowHeat, EndCook } from './forms/confirm.tsx';
import { PairForm } from './forms/pair.tsx';
import { SetpointForm } from './forms/setpoint.tsx';
import { StartForm } from './forms/start.tsx';
import { Header, RigLine } from './header.tsx';
import { Lazy } from './lazy.tsx';
import { TroubleOf } from './parts.tsx';
import { PastPage } from './past.tsx';
import { PlanWay } from './plan-way.tsx';
import { Question } from './question.tsx';

/** Planning has the planner with it: fetched when somebody plans. */
const planPage = () => import('../plan/page.tsx').then((part) => part.PlanPage);
const planStart = () => import('../plan/start.tsx').then((part) => part.PlanStart);
const attendance = () => import('./watchful/attendance.tsx').then((part) => part.AttendancePage);
const alarmList = () => import('./alarms/list.tsx').then((part) => part.AlarmList);
const shelve = () => import('./alarms/shelve.tsx').then((part) => part.ShelveForm);
const reach = () => import('./alarms/reach.tsx').then((part) => part.ReachPage);
const how = () => import('./how.tsx').then((part) => part.HowPage);
const phone = () => import('./phone.tsx').then((part) => part.PhonePage);
const forkTest = () => import('./forms/bag-care.tsx').then((part) => part.ForkTest);
const bagLies = () => import('./forms/bag-care.tsx').then((part) => part.BagLies);
const coldSpot = () => import('./forms/bag-care.tsx').then((part) => part.ColdSpot);
const bagInForm = () => import('./forms/bag.tsx').then((part) => part.BagInForm);
const bagEdit = () => import('./forms/bag.tsx').then((part) => part.BagEditForm);
const toppedUp = () => import('./watchful/topped-up.tsx').then((part) => part.ToppedUpPage);
const cannotSee = () => import('./watchful/cannot-see.tsx').then((part) => part.CannotSeePage);
const bagOut = () => import('./forms/bag-out.tsx').then((part) => part.BagOut);
const coreReading = () => import('./forms/bag-reading.tsx').then((part) => part.CoreReading);
const endChill = () => import('./forms/bag-chill.tsx').then((part) => part.EndChill);
const trip = () => import('./watchful/trip.tsx').then((part) => part.Trip);
const powerCut = () => import('./power-cut/power-cut.tsx').then((part) => part.PowerCut);
/** For developers: not part of what a cook's phone has to load first. */
const plant = () => import('./plant.tsx').then((part) => part.PlantPage);

/** The view to live in: alarms first, then where things stand, then the curve. */
function Watch() {
  return (
    <div class="watch" data-test="watch">
      <div class="watch-now">
        <TroubleOf view="watch" />
        <WatchTrouble />
        <Question />
        <Stage />
        <PlanWay />
        <Bath />
        <Actions />
        <Attended />
      </div>
      <div class="watch-food">
        <Bags />
      </div>
      <div class="watch-past">
        <Chart />
        <Happened />
        <Foot />
      </div>
    </div>
  );
}

function Current() {
  switch (view.value.name) {
    case 'start':
      return <StartForm />;
    case 'setpoint':
      return <SetpointForm />;
    case 'bag-in':
      return <Lazy key="bag-in" load={bagInForm} />;
    case 'bag-edit':
      return <Lazy key="bag-edit" load={bagEdit} />;
    case 'bag-out':
      return <Lazy key="bag-out" load={bagOut} />;
    case 'fork-test':
      return <Lazy key="fork-test" load={forkTest} />;
    case 'bag-lies':
      return <Lazy key="bag-lies" load={bagLies} />;
    case 'cold-spot':
      return <Lazy key="cold-spot" load={coldSpot} />;
    case 'core-reading':
      return <Lazy key="core-reading" load={coreReading} />;
    case 'end-chill':
      return <Lazy key="end-chill" load={endChill} />;
    case 'allow-heat':
      return <AllowHeat />;
    case 'end-cook':
      return <EndCook />;
    case 'pair':
      return <PairForm />;
    case 'past':
      return <PastPage />;
    case 'cautions':
      return <CautionsPage />;
    case 'how':
      return <Lazy key="how" load={how} />;
    case 'phone':
      return <Lazy key="phone" load={phone} />;
    case 'plan':
      return <Lazy key="plan" load={planPage} />;
    case 'plan-start':
      return <Lazy key="plan-start" load={planStart} />;
    case 'attendance':
      return <Lazy key="attendance" load={attendance} />;
    case 'alarm-list':
      return <Lazy key="alarm-list" load={alarmList} />;
    case 'shelve':
      return <Lazy key="shelve" load={shelve} />;
    case 'reach':
      return <Lazy key="reach" load={reach} />;
    case 'topped-up':
      return <Lazy key="topped-up" load={toppedUp} />;
    case 'cannot-see':
      return <Lazy key="cannot-see" load={cannotSee} />;
    case 'plant':
      return <Lazy key="plant" load={plant} />;
    default:
      return status.value ? <Watch /> : <Waiting />;
  }
}

function Waiting() {
  return contact.value === 'lost' ? null : (
    <p class="waiting" data-test="waiting">
      Connecting to the controller…
    </p>
  );
}

export function App({ onRetry }: { onRetry: () => void }) {
  return (
    <>
      <Header />
      <main data-contact={contact.value}>
        <RigLine />
        <NotConnected onRetry={onRetry} />
        {view.value.name === 'watch' && status.value?.trip ? <Lazy load={trip} /> : null}
        {view.value.name === 'watch' && status.value?.outage ? (
          <Lazy key="power-cut" load={powerCut} />
        ) : null}
        {view.value.name === 'watch' ? <Alarms /> : null}
        <Current />
      </main>
      <p class={notice.value ? 'notice' : 'notice none'} role="status" data-test="notice">
        {notice.value}
      </p>
      <StopBar />
      <p class="spoken" aria-live="polite">
        {spokenCalm.value}
      </p>
      <p class="spoken" aria-live="assertive">
        {spokenAlarm.value}
      </p>
    </>
  );
}

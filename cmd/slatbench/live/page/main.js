// The live bench: takes what the bench says, and hands it to the parts of the page.

import { connect, PROTOCOL } from './link.js';
import { History } from './history.js';
import { BayView } from './bayview.js';
import { Plan } from './plan.js';
import { Charts } from './charts.js';
import { Controls } from './controls.js';
import { Faults } from './faults.js';
import { Requirements } from './requirements.js';
import { Events } from './events.js';
import { Lesson } from './lesson.js';
import { Files, download } from './files.js';
import { Sound } from './sound.js';
import { Speech } from './speech.js';
import { Readings } from './readings.js';
import { theme } from './theme.js';
import { keys } from './keys.js';
import { byID, say, mark, pressed, choices, el } from './dom.js';
import { clock, plain, sentence, seconds } from './names.js';

const PITCHES = [1480, 1660, 1320, 1860, 1180, 2090, 1050, 2340];
const LOCK_PITCH = 820;
const nothing = new Map();
const sealed = () => document.body.classList.contains('sealed');
const NEXT_TO_NOW = 0.3; // s: looking this near to now is looking at now

const state = { bench: null, frame: null, bay: 0, fresh: false, alarms: [], keepUntil: undefined, speed: 0 };

const speech = new Speech();
const sound = new Sound();
const history = new History();
const view = new BayView(byID('bay'));
const readings = new Readings(byID('readings'));
const plan = new Plan(byID('truck'), select);
const charts = new Charts(byID('strips'), history, lookedBack);
const requirements = new Requirements(byID('requirements'), goTo);
const events = new Events(byID('events'), goTo);
const ask = (what, fields) => link.ask(what, fields).then(complain);
const at = { ask, bay: () => state.bench?.bays[state.bay]?.id };
const controls = new Controls(byID('controls'), at);
const faults = new Faults(byID('faults'), at);
const lesson = new Lesson(byID('lesson'), byID('workshop'), { ask, leave: () => open({}) }, speech);
const files = new Files(open);
let showSpeed = () => {};

const link = connect({
  up: () => notice(''),
  down: why => lost(why || 'The bench does not answer.'),
  welcome, bench, frame, requirements: m => requirements.take(m.list), faults: takeFaults, event, lesson: takeLesson,
  error: (m, answered) => { if (!answered) complain(m); },
});

function welcome(m) {
  if (m.protocol !== PROTOCOL) return notice('This page was made for another version of the bench: load it anew.');
  state.welcome = m;
  requirements.setWords(m.requirements);
  faults.setKinds(m.kinds);
  files.setLists(m.scenarios, m.lessons);
  byID('lessonsButton').hidden = m.lessons.length === 0;
  showSpeed = choices(byID('speeds'), m.speeds.map(f => [f, speedName(f)]), f => ask('speed', { factor: f }));
  const wish = new URLSearchParams(location.search);
  if (state.bench) return openAgain();
  open(wish.get('lesson') ? { lesson: wish.get('lesson') } : wish.get('scenario') ? { name: wish.get('scenario') } : {});
}

const speedName = f => f < 1 ? `1/${Math.round(1 / f)}` : f === 1 ? 'real' : `${f}×`;

// openAgain follows a connection that broke: the truck that it had is put away, and what
// was done with it is forgotten.
async function openAgain() {
  const was = state.bench, known = was.name !== undefined;
  const m = await open(!known ? {} : was.lesson ? { lesson: was.name } : { name: was.name });
  if (m.is !== 'error') notice('Connected again, with a new truck: the one before was put away. ', el('button', { onclick: () => notice('') }, 'Close'));
}

// lost says that there is no bench to speak to.
function lost(why) {
  state.keepUntil = undefined;
  sound.silence();
  notice(`${sentence(why)} `, el('button', { onclick: () => link.again() }, 'Connect again'));
}

function open(what) {
  return ask('open', what);
}

function bench(m) {
  const again = state.bench && state.keepUntil !== undefined;
  history.fit(m, state.welcome.frames_per_s, again ? state.keepUntil : undefined);
  charts.clearMarks(again ? m.start_s : undefined);
  events.clear(again ? m.start_s : undefined);
  state.keepUntil = undefined;
  state.bench = m;
  state.index = index(m.bay_columns);
  state.sideIndex = index(m.side_columns);
  state.truckIndex = index(m.truck_columns);
  state.bay = Math.min(state.bay, m.bays.length - 1);
  state.alarms = m.bays.map(() => '');
  state.lockAlarm = '';
  state.lastState = [];
  leaveLesson();
  requirements.clear();
  controls.setSides(m.sides);
  plan.setBench(m);
  charts.back = null;
  charts.setBench(m);
  byID('back').hidden = true;
  for (const [id, words] of [['title', m.title], ['subtitle', placeWords(m)]]) {
    say(byID(id), words);
    byID(id).title = words; // where there is no room for all of it
  }
  document.title = `${m.title} · Slatbench`;
  select(state.bay);
}

const index = names => Object.fromEntries(names.map((n, i) => [n, i]));

function placeWords(m) {
  const a = m.ambient, parts = [m.truck, `logic ${m.logic}`, `${+a.temperature_c.toFixed(1)} °C`.replace('-', '−')];
  if (a.sunlight_lx > 0) parts.push(`sun ${Math.round(a.sunlight_lx / 1000)} klx`);
  if (a.grade) parts.push(`grade ${+(a.grade * 100).toFixed(1)} %`);
  return parts.join(' · ');
}

function named(row, names) {
  const f = {};
  for (const n in names) f[n] = row[names[n]] ?? NaN;
  return f;
}

function frame(m) {
  if (!state.bench) return;
  if (m.states) state.bench.states = m.states;
  state.frame = m;
  history.add(m);
  state.fresh = true;
  sounders(m);
  if (document.hidden) drawNow();
}

function select(i) {
  state.bay = i;
  const bay = state.bench.bays[i];
  view.setBay(bay);
  charts.select(i);
  plan.select(i);
  faults.mark();
  say(byID('bayName'), bay.id);
  say(byID('baySide'), bay.side);
  for (const n of document.querySelectorAll('.on-bay')) say(n, bay.id);
  state.fresh = true;
}

// draw runs once a screen refresh, and works only when there is something new: the
// picture thirty times a second, the charts half as often.
let turn = 0;
function draw() {
  requestAnimationFrame(draw);
  if (!state.fresh || !state.frame) return;
  state.fresh = false;
  drawNow();
  if (charts.back === null && ++turn % 2 === 0) charts.draw();
}

function drawNow() {
  const now = state.frame, shown = charts.back === null ? now : history.frameAt(charts.back) ?? now;
  const bays = shown.bays.map((r, i) => charts.back === null ? named(r, state.index) : then(named(r, state.index), i)), sides = shown.sides.map(r => named(r, state.sideIndex)), truck = named(shown.truck, state.truckIndex);
  const f = bays[state.bay];
  view.draw(f, sealed() ? nothing : faults.at(at.bay()));
  readings.draw(f);
  plan.draw(bays, sides, state.bench.states, alarmWords(bays));
  controls.draw(f, sides, truck);
  standing(now, f);
  alarmLine(f, truck);
}

// then is a bay at the instant looked back at: samples are closer together than frames.
function then(f, i) {
  const sample = history.sampleAt(charts.back, i, state.bench.sample_columns);
  if (!sample) return f;
  const bay = state.bench.bays[i];
  Object.assign(f, sample);
  f.drum_rad = (f.height_m - f.slack_m) / bay.drum_m;
  f.spring_turns = Math.max(0, bay.initial_turns - f.drum_rad / (2 * Math.PI));
  return f;
}

// standing shows the clock, and how the run goes.
function standing(m, f) {
  say(byID('clock'), clock(m.t));
  const why = { paused: 'paused', question: 'time stands', end: 'end of the scenario', trouble: 'stopped by trouble' }[m.why] ?? '';
  say(byID('standing'), m.running ? '' : why || 'paused');
  const run = byID('run');
  say(run.querySelector('span'), m.running ? 'Pause' : 'Run');
  mark(run, 'running', m.running);
  run.disabled = m.why === 'question';
  if (state.speed !== m.speed) showSpeed(m.speed);
  state.speed = m.speed;
  const word = f.awake ? state.bench.states[f.state] ?? 'does not tell' : 'no power';
  say(byID('stateWord'), word);
  document.body.dataset.state = word;
  byID('bay').setAttribute('aria-label', `Side view of bay ${at.bay()}: ${word}`);
}

// alarmWords is what the plan says of every bay's sounder: the count so far, or the
// last alarm.
function alarmWords(bays) {
  return bays.map((f, i) => f.pulses_heard > 0 ? '♪ ' + f.pulses_heard : state.alarms[i] ? `♪ ${state.alarms[i].pulses}` : '');
}

function alarmLine(f, truck) {
  const counting = f.pulses_heard > 0 ? f.pulses_heard : truck.lock_pulses_heard > 0 ? truck.lock_pulses_heard : 0;
  const last = state.alarms[state.bay] || state.lockAlarm;
  const box = byID('alarm'), n = counting || (last ? last.pulses : 0), dots = box.firstElementChild;
  if (dots.childElementCount !== n) dots.replaceChildren(...Array.from({ length: n }, () => el('i')));
  mark(box, 'counting', counting > 0);
  mark(box, 'heard', n > 0);
  say(byID('alarmWord'), counting ? `counting ${counting}` : last ? `${last.pulses}: ${plain(last.name)}` : 'no alarm');
}

function sounders(m) {
  const slow = m.running && m.speed <= 1;
  m.bays.forEach((row, i) => sound.tone(i, PITCHES[i % PITCHES.length], slow && row[state.index.tone] === 1));
  sound.tone('lock', LOCK_PITCH, slow && m.truck[state.truckIndex.lock_tone] === 1);
}

function event(e) {
  if (sealed() && e.kind.startsWith('fault-')) return; // the learner has to find it out
  events.add(e);
  if (e.kind === 'alarm') heard(e);
  if (e.kind === 'press' || e.kind === 'violated' || e.kind === 'alarm') charts.addMark({ at: e.at_s, kind: e.kind, bay: e.bay, pulses: e.pulses });
  if (e.kind === 'press') clearAlarm(e.bay);
  if (e.kind === 'refused' || e.kind === 'trouble') complain({ is: 'error', message: e.text });
  const mine = !e.bay || e.bay === at.bay();
  if (e.kind === 'violated') speech.shout(`Violated: ${e.text}`);
  else if (e.kind === 'alarm') speech.shout(`${e.bay ?? 'Locks'}: ${e.text}`);
  else if (e.kind !== 'state' || mine) speech.say(e.bay && !e.text.includes(e.bay) ? `${e.bay} ${e.text}` : e.text);
}

function heard(e) {
  const i = state.bench.bays.findIndex(b => b.id === e.bay), said = { pulses: e.pulses, name: e.name };
  if (i >= 0) state.alarms[i] = said;
  else state.lockAlarm = said;
  if (state.speed > 1) sound.count(e.pulses, i >= 0 ? PITCHES[i % PITCHES.length] : LOCK_PITCH);
}

// clearAlarm forgets the last alarm of a bay: the next press has been received.
function clearAlarm(bay) {
  const i = state.bench.bays.findIndex(b => b.id === bay);
  if (i >= 0) state.alarms[i] = '';
  state.lockAlarm = '';
}

function takeFaults(m) {
  faults.take(m.list);
  state.fresh = true;
}

// takeLesson looks at the bay of a lesson when it begins. A learner who has to find
// out what is wrong is not shown it.
function takeLesson(m) {
  const fresh = lesson.state === null;
  lesson.take(m);
  document.body.classList.toggle('sealed', !m.switches);
  document.body.classList.toggle('handsoff', !m.state.hands);
  byID('controls').inert = !m.state.hands;
  state.fresh = true;
  if (!fresh) return;
  const i = state.bench.bays.findIndex(b => b.id === m.bay);
  charts.watch = m.watch ?? [];
  select(i < 0 ? state.bay : i);
}

function leaveLesson() {
  lesson.clear();
  charts.watch = [];
  document.body.classList.remove('sealed', 'handsoff');
  byID('controls').inert = false;
}

// goTo takes charts and picture back to an instant of a bay.
function goTo(t, bay) {
  const i = state.bench.bays.findIndex(b => b.id === bay);
  if (i >= 0 && i !== state.bay) select(i);
  charts.lookBack(t);
  if (innerWidth < 1024) byID('strips').scrollIntoView({ block: 'nearest' });
}

function lookedBack(t) {
  byID('back').hidden = t === null;
  mark(byID('live'), 'off', t === null);
  if (t !== null) say(byID('backText'), `Looking back at ${seconds(t)}`);
  byID('backRewind').hidden = Boolean(state.bench.lesson);
  state.fresh = true;
}

function look(by) {
  const t = (charts.back ?? charts.lastTime()) + by;
  if (t > charts.lastTime() - NEXT_TO_NOW && by > 0) charts.toNow();
  else charts.lookBack(t);
}

async function rewind() {
  const t = charts.back;
  if (t === null) return;
  state.keepUntil = t;
  if ((await ask('rewind', { at_s: t })).is === 'error') state.keepUntil = undefined;
}

async function save() {
  const m = await ask('save');
  if (m.is !== 'saved') return;
  download(m.file, m.text);
  notice(`Saved ${m.file}. `, el('code', {}, m.command), el('button', { onclick: () => notice('') }, 'Close'));
}

function complain(m) {
  if (m.lost) {
    lost(`${m.message}.`);
  } else if (m.is === 'error') {
    notice(`${m.message}. ${m.hint ? sentence(m.hint) + '. ' : ''}`, el('button', { onclick: () => notice('') }, 'Close'));
  }
  return m;
}

function notice(...content) {
  byID('notice').replaceChildren(...content);
  byID('notice').classList.toggle('on', content[0] !== '');
}

const toggleRun = () => ask(state.frame?.running ? 'pause' : 'run');

function muting(yes) {
  sound.mute(yes);
  say(byID('mute'), yes ? 'Sound off' : 'Sound on');
  pressed(byID('mute'), yes);
}

function faster(way) {
  const list = state.welcome.speeds, i = list.indexOf(state.frame?.speed ?? 1) + way;
  if (list[i]) ask('speed', { factor: list[i] });
}

const switchTheme = theme(() => charts.build());
const openDialog = id => byID(id).showModal();
const acts = { run: toggleRun, step: () => ask('step'), restart: () => ask('restart'), openButton: () => files.show(false), lessonsButton: () => files.show(true), saveButton: save, mute: () => muting(!sound.muted), theme: switchTheme, keysButton: () => openDialog('keysDialog'), live: () => charts.toNow(), backLive: () => charts.toNow(), backRewind: rewind };
for (const [id, act] of Object.entries(acts)) byID(id).addEventListener('click', act);
muting(sound.muted);
mark(byID('live'), 'off', true);

const bayKeys = Array.from({ length: 8 }, (_, i) => i + 1);
keys([
  ['Space', 'press the remote at the selected bay', () => controls.pressNow(), () => controls.letGo()],
  [bayKeys.join(' '), 'select a bay, in the order of the truck', e => { const i = Number(e.key) - 1; if (state.bench?.bays[i]) select(i); }],
  ['p', 'run, pause', toggleRun],
  ['.', 'one tick of the controllers', () => ask('step')],
  ['[ ]', 'slower, faster', e => faster(e.key === ']' ? 1 : -1)],
  ['Shift+r', 'restart the scenario', () => ask('restart')],
  ['c', 'put something under the door, or take it away', () => controls.toggleObstacle()],
  ['t', 'retrain the selected door', () => controls.teach()],
  ['f', 'find a fault', () => byID('faultSearch').focus()],
  ['ArrowLeft ArrowRight', 'look back, look on', e => look(e.key === 'ArrowLeft' ? -0.25 : 0.25)],
  ['Shift+ArrowLeft Shift+ArrowRight', 'look back, look on, further', e => look(e.key === 'ArrowLeft' ? -2.5 : 2.5)],
  ['l', 'back to now', () => charts.toNow()],
  ['o', 'open a scenario', () => files.show(false)],
  ['s', 'save what was done as a scenario file', save],
  ['m', 'sound off, on', () => muting(!sound.muted)],
  ['d', 'dark, light', switchTheme],
  ['?', 'this list', () => openDialog('keysDialog')],
]);

// After a click with the mouse on what selects, Space presses the remote again.
document.addEventListener('click', e => {
  if (e.detail > 0 && e.target.closest('.bay, .transport button, .choice button, .events button, .req-when, .back button, #live')) byID('stage').focus({ preventScroll: true });
});
document.addEventListener('visibilitychange', () => { state.fresh = true; if (document.hidden) sound.silence(); });
requestAnimationFrame(draw);

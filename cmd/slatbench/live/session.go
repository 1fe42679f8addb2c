package live

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/require"
)

// session is one page with its truck. It is used by one goroutine, and knows time only
// by what it is told: serve.go has the clock and the wire.
type session struct {
	shelf *shelf
	rig   *rig
	send  func(message any)       // in order; none is left out
	frame func(frame *frame) bool // false: it could not be sent, and is not missed
	gone  func() bool             // the session is over, so that nothing long need be finished

	running bool
	speed   float64
	ended   bool    // the end of the scenario was told
	why     string  // the run stands, besides by pause
	budget  float64 // s of the truck's time that are still to be played
	dirty   bool    // the page shows something else than there is

	seq    int
	states int // words of the dictionary that the page knows
	judged []require.Result
	judge  float64 // s of the clock until the requirements are looked at again
	shown  []float64
}

// Words for why a run stands, in frames.
const (
	whyPaused   = "paused"
	whyQuestion = "question"
	whyEnd      = "end"
	whyTrouble  = "trouble"
)

// judgeEvery is how often the requirements are looked at, s of the clock.
const judgeEvery = 0.2

// mostBehind is how much of the clock, in s, a session makes up for at once. A machine
// that is too busy lets trucks go slow rather than busier.
const mostBehind = 0.25

func newSession(s *shelf) *session { return &session{shelf: s, speed: 1} }

// close gives back what the session has.
func (s *session) close() {
	if s.rig != nil {
		s.rig.close()
		_ = s.rig.src.close()
		s.rig = nil
	}
}

// request does what the page asks for, and answers.
func (s *session) request(q *Request) {
	if err := s.do(q); err != nil {
		m := errorMessage(err)
		m.ID, m.Do = q.ID, q.Do
		s.send(m)
		return
	}
	if q.Do != DoSave {
		s.send(&Done{IsDone, q.ID, q.Do})
	}
}

func errorMessage(err error) *Error {
	m := &Error{Is: IsError, Message: err.Error()}
	var w wrong
	var problems scenarios.Problems
	var problem *scenarios.Problem
	switch {
	case errors.As(err, &w):
		m.Message, m.Hint = w.what, w.hint
	case errors.As(err, &problems) && len(problems) > 0:
		m.Message, m.Hint = problems[0].Pos.String()+": "+problems[0].Message, problems[0].Hint
		if more := len(problems) - 1; more > 0 {
			m.Hint = strings.TrimSpace(fmt.Sprintf("%s (and %d more)", m.Hint, more))
		}
	case errors.As(err, &problem):
		m.Message, m.Hint = problem.Message, problem.Hint
	}
	m.Message = strings.TrimPrefix(m.Message, ": ")
	return m
}

func (s *session) do(q *Request) error {
	if q.Do == DoOpen {
		return s.open(q)
	}
	if s.rig == nil {
		return wrong{"nothing is open", `send {"do": "open"} first`}
	}
	s.dirty = true
	switch q.Do {
	case DoSpeed:
		return s.setSpeed(q.Factor)
	case DoRun:
		return s.run()
	case DoPause:
		s.running = false
		return nil
	case DoStep:
		return s.step(q.Ticks)
	case DoRestart:
		return s.restart()
	case DoRewind:
		return s.rewind(q.At)
	case DoSave:
		return s.save(q)
	case DoAnswer, DoNext, DoJob:
		return s.learn(q)
	}
	if s.why == whyTrouble {
		return wrong{"the run cannot go on", "restart it, or open another scenario"}
	}
	if s.rig.handsOff() {
		return wrong{"the truck cannot be worked now", "the lesson asks a question, or the bench is checking"}
	}
	err := s.rig.act(q)
	s.changed()
	return err
}

// open puts another truck on the bench. The old one stays where the new cannot be had.
func (s *session) open(q *Request) error {
	src, err := s.source(q)
	if err != nil {
		return err
	}
	r, err := newRig(src, nil)
	if err != nil {
		_ = src.close()
		return err
	}
	s.close()
	s.speed = 1
	s.take(r)
	return nil
}

func (s *session) source(q *Request) (*source, error) {
	switch {
	case q.Lesson != "":
		return s.shelf.lesson(q.Lesson)
	case q.Text != "" || q.File != "": // an empty file is no wish for the first truck
		return s.shelf.dropped(q.File, q.Text)
	case q.Name != "":
		return s.shelf.named(q.Name)
	}
	return s.shelf.first()
}

// take shows the page a truck that is new to it. It runs.
func (s *session) take(r *rig) {
	s.rig, s.running, s.ended, s.why, s.budget, s.dirty = r, true, false, "", 0, true
	s.states, s.judged, s.judge = len(r.watch.states.words), nil, 0
	s.setSpan()
	s.send(r.describe())
	s.judgeNow()
	s.send(r.faults())
	s.tellLesson()
}

// changed sends what a request has brought about besides.
func (s *session) changed() {
	if s.rig.faultsChanged {
		s.rig.faultsChanged = false
		s.send(s.rig.faults())
	}
	s.tellLesson()
}

func (s *session) tellLesson() {
	if s.rig.way != nil {
		if m := s.rig.way.message(); m != nil {
			s.send(m)
		}
	}
}

func (s *session) setSpeed(factor float64) error {
	for _, f := range speeds {
		if f == factor {
			s.speed, s.budget = f, 0
			s.setSpan()
			return nil
		}
	}
	return wrong{fmt.Sprintf("no speed is %g", factor), "known are: 0.1, 1, 10"}
}

// setSpan lets a sample be 10 ms of the clock at least. In slow motion the truck is looked
// at within ticks, or it would be seen to move in jerks.
func (s *session) setSpan() {
	w, b := s.rig.watch, s.rig.bench
	tick := float64(b.TickSteps) * b.Truck.StepSize()
	w.span = max(1, int(math.Round(s.speed*0.010/tick)))
	w.fine, w.views = 0, w.views[:0]
	if s.speed < 1 {
		w.fine = max(1, int(math.Round(s.speed/FramesPerSecond/b.Truck.StepSize())))
		w.next = b.Now
	}
}

func (s *session) run() error {
	if s.why == whyTrouble {
		return wrong{"the run cannot go on", "restart it, or open another scenario"}
	}
	if s.why == whyEnd {
		s.why = ""
	}
	s.running, s.budget = true, 0
	return nil
}

// mostTicks bounds the ticks of one step request.
const mostTicks = 1000

func (s *session) step(ticks int) error {
	switch {
	case ticks == 0:
		ticks = 1
	case ticks < 0 || ticks > mostTicks:
		return outOfRange("ticks", float64(ticks), 1, mostTicks, "")
	}
	if err := s.run(); err != nil {
		return err
	}
	s.running = false
	for range ticks {
		if !s.play() {
			break
		}
	}
	s.running = false
	s.rig.watch.views = s.rig.watch.views[:0]
	s.changed()
	s.tellEvents()
	s.judgeNow()
	return nil
}

func (s *session) restart() error {
	r, err := newRig(s.rig.src, nil)
	if err != nil {
		return err
	}
	s.rig.close()
	s.take(r)
	return nil
}

func (s *session) rewind(at *float64) error {
	switch {
	case at == nil:
		return missing("at_s")
	case s.rig.way != nil:
		return wrong{"a lesson cannot be rewound", "restart begins it again"}
	case !(*at >= 0 && *at <= s.rig.now()):
		return outOfRange("at", *at, 0, s.rig.now(), " s")
	}
	b := s.rig.bench
	step := b.Steps(*at) / b.TickSteps * b.TickSteps
	r, err := s.rig.rewound(step, s.gone)
	if err != nil {
		return err
	}
	s.rig.close()
	s.take(r)
	s.running = false
	return nil
}

// leastSaved is the shortest run that a scenario file can say, s.
const leastSaved = 0.1

func (s *session) save(q *Request) error {
	r := s.rig
	if r.now() < leastSaved {
		return wrong{"there is nothing to save yet", "let the run go on for a moment"}
	}
	story := r.story()
	story.Name = savedTitle(q.Title, r)
	story.Comment = savedComment
	text, err := r.src.write(&story)
	if err != nil {
		return err
	}
	file := fileName(story.Name)
	s.send(&Saved{IsSaved, q.ID, file, text, "slatbench run " + file})
	return nil
}

func (s *session) learn(q *Request) error {
	err := s.rig.learn(q)
	s.changed()
	return err
}

// pass lets so many seconds of the clock pass. It comes FramesPerSecond times a second.
func (s *session) pass(seconds float64) {
	if s.rig == nil {
		return
	}
	s.catchUp(math.Min(seconds, mostBehind))
	s.changed()
	s.tellEvents()
	if s.judge -= seconds; s.judge <= 0 && s.dirty {
		s.judgeNow()
	}
	if s.dirty {
		s.show()
	}
}

// catchUp plays what the clock has brought.
func (s *session) catchUp(seconds float64) {
	if !s.running {
		return
	}
	b := s.rig.bench
	tick := float64(b.TickSteps) * b.Truck.StepSize()
	s.budget += seconds * s.speed
	for s.running && s.budget >= tick {
		s.budget -= tick
		if !s.play() {
			s.budget = 0
		}
	}
	s.dirty = true
}

// play plays one tick, and tells whether it did.
func (s *session) play() bool {
	r := s.rig
	if r.heldUp() || s.why == whyTrouble {
		return false
	}
	err := r.advance()
	if err == nil {
		err = r.bench.Err()
	}
	switch {
	case err != nil:
		s.running, s.why = false, whyTrouble
		r.watch.tell(r.bench, Event{Kind: eventTrouble, Text: errorMessage(err).Message})
	case !s.ended && r.bench.Now >= r.setup.Duration:
		s.running, s.ended, s.why = false, true, whyEnd
		r.watch.tell(r.bench, Event{Kind: eventEnd, Text: endText(r.bench.Seconds(r.setup.Duration))})
	}
	return true
}

// parse reads a request.
func parse(data []byte) (*Request, error) {
	var q Request
	if err := json.Unmarshal(data, &q); err != nil {
		return nil, err
	}
	if q.Do == "" {
		return nil, errors.New("it does not say what to do")
	}
	return &q, nil
}

// fileName makes a name for a saved file out of its title.
func fileName(title string) string {
	var b strings.Builder
	dash := false
	for _, c := range strings.ToLower(title) {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			if dash && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(c)
			dash = false
		} else {
			dash = true
		}
		if b.Len() > 60 {
			break
		}
	}
	if b.Len() == 0 {
		return "as-operated.yaml"
	}
	return b.String() + ".yaml"
}

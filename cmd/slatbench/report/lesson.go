package report

import (
	"bytes"
	_ "embed" // the template and the style
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/logic"
)

//go:embed lesson.html
var lessonText string

//go:embed lesson.css
var lessonStyle string

var lessonPages = pageOf("lesson", lessonText)

// Handout is a lesson on paper: its texts, its questions with room for answers,
// what the bench showed, and the key. Make it with [PlayHandout].
type Handout struct {
	Version string // of the program
	lesson  *scenarios.Lesson
	play    *scenarios.LessonPlay
	symptom *Series // up to where something is to be found
	whole   *Series
	undone  *scenarios.LessonPlay // by one who does nothing where something is to be found
	idle    *Series
}

// PlayHandout plays a lesson with a learner who does what its solutions say, for
// the plots. The error is that of the play.
func PlayHandout(ls *scenarios.Lesson, table *logic.Table) (*Handout, error) {
	h := &Handout{lesson: ls, whole: NewSeries(), symptom: NewSeries()}
	var err error
	if h.play, err = ls.Play(table, scenarios.LessonLearner{}, h.whole); err != nil {
		return nil, err
	}
	part := &untilStep{Series: h.symptom, last: int64(math.Round(h.symptomEnds() / h.whole.step))}
	if _, err = ls.Play(table, scenarios.LessonLearner{}, part); err != nil {
		return nil, err
	}
	h.idle = NewSeries()
	h.undone, err = ls.Play(table, ls.Idle(), h.idle)
	return h, err
}

// untilStep shows a series a run up to a step.
type untilStep struct {
	*Series
	last int64
}

// Tick implements sim.Observer.
func (u *untilStep) Tick(b *sim.Bench) {
	if b.Now <= u.last {
		u.Series.Tick(b)
	}
}

// Step implements sim.Observer.
func (u *untilStep) Step(b *sim.Bench) {
	if b.Now <= u.last {
		u.Series.Step(b)
	}
}

// symptomEnds is when, in s, the first step begins in which something is to be
// found: what comes after gives the cure away.
func (h *Handout) symptomEnds() float64 {
	for _, m := range h.play.Phases {
		if m.Phase == scenarios.LessonFinding || m.Step == len(h.lesson.Steps) {
			return m.At
		}
	}
	return h.play.Lasted
}

// handoutPage is what the template shows.
type handoutPage struct {
	Style    template.CSS
	Title    string
	About    string
	Caution  string
	Facts    []fact
	Steps    []handoutStep
	Jobs     []handoutJob
	Symptom  template.HTML
	Whole    template.HTML
	Idle     template.HTML
	Missed   []string
	Check    string
	Looks    []handoutLook
	Passed   string
	Failed   string
	Cautions []string
	Short    string
	Version  string
	Lasted   string
	Stuck    string
}

type handoutStep struct {
	Number   int
	Title    string
	Text     string
	Caution  string
	Question string
	Choices  []handoutChoice
	Waits    []string
	Comes    []string
	Find     bool
	Then     string
	Hints    []string
	Solution []string
	Reasons  []handoutChoice
	Finds    []string
}

type handoutChoice struct {
	Letter, Text, Because string
	Right                 bool
}

type handoutJob struct {
	Text, Then string
	Right      bool
}

type handoutLook struct {
	Text string
	Met  bool
}

// Write writes the handout.
func (h *Handout) Write(w io.Writer) error {
	ls := h.lesson
	p := &handoutPage{
		Style: template.CSS(styleText + lessonStyle), Title: ls.Title(), About: ls.About, Caution: ls.Caution,
		Facts: h.facts(), Check: ls.Proof.Text, Passed: ls.Proof.Passed, Failed: ls.Proof.Failed,
		Cautions: cautions, Short: cautionShort, Version: h.Version, Lasted: fixed(h.play.Lasted, 0) + " s", Stuck: h.play.Stuck,
	}
	for i := range ls.Steps {
		step := newHandoutStep(i+1, &ls.Steps[i])
		step.Solution = h.solution(&ls.Steps[i])
		p.Steps = append(p.Steps, step)
	}
	right := h.rightJobs()
	for i := range ls.Jobs.Entries {
		j := &ls.Jobs.Entries[i]
		p.Jobs = append(p.Jobs, handoutJob{j.Value.Say, j.Value.Then, slices.Contains(right, j.Key)})
	}
	for _, r := range h.play.State.Results {
		p.Looks = append(p.Looks, handoutLook{r.Text, r.Met})
	}
	if h.symptom.end > 0 {
		p.Symptom = template.HTML(h.figure(h.play, h.symptom, h.lesson.Watch, false))
	}
	p.Whole = template.HTML(h.figure(h.play, h.whole, h.lesson.Watch, true))
	for _, r := range h.undone.State.Results {
		if !r.Met {
			p.Missed = append(p.Missed, r.Text)
		}
	}
	if len(p.Missed) > 0 {
		p.Idle = template.HTML(h.figure(h.undone, h.idle, h.lesson.Watch[:min(len(h.lesson.Watch), idleCharts)], true))
	}
	var out bytes.Buffer
	if err := lessonPages.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

// idleCharts is how many charts show the learner who does nothing: enough to see why
// the check is not passed, few enough to stand beneath the others.
const idleCharts = 2

// rightJobs are the jobs that the solutions name.
func (h *Handout) rightJobs() []string {
	var list []string
	for i := range h.lesson.Steps {
		for _, d := range h.lesson.Steps[i].Solution {
			if d.Job != "" {
				list = append(list, d.Job)
			}
		}
	}
	return list
}

// solution is what is to be done in a step; jobs by their labels.
func (h *Handout) solution(s *scenarios.LessonStep) []string {
	var list []string
	for i := range s.Solution {
		d := &s.Solution[i]
		text := d.String()
		if j := h.lesson.Jobs.Get(d.Job); j != nil {
			text = "“" + j.Say + "”"
		}
		list = append(list, text)
	}
	return list
}

func (h *Handout) facts() []fact {
	p := h.lesson.Scenario().Params()
	return []fact{
		{Name: "truck", Value: h.lesson.Truck.Name}, {Name: "place", Value: ambientText(p.Ambient)},
		{Name: "look at", Value: "door " + h.lesson.Bay}, {Name: "takes", Value: "about " + fixed(h.lesson.Takes/60, 0) + " min"},
	}
}

func newHandoutStep(number int, s *scenarios.LessonStep) handoutStep {
	step := handoutStep{
		Number: number, Title: s.Title, Text: s.Text, Caution: s.Caution, Find: len(s.Find) > 0, Then: s.Then,
	}
	for i := range s.Until {
		if s.Ask == nil { // what is to be predicted is not told
			step.Waits = append(step.Waits, s.Until[i].String())
		}
		step.Comes = append(step.Comes, s.Until[i].String())
	}
	for i := range s.Find {
		step.Finds = append(step.Finds, s.Find[i].String())
	}
	for i := range s.Hints {
		step.Hints = append(step.Hints, s.Hints[i].Text)
	}
	if s.Ask == nil {
		return step
	}
	step.Question = s.Ask.Question
	for i := range s.Ask.Choices {
		c := &s.Ask.Choices[i]
		step.Choices = append(step.Choices, handoutChoice{string(rune('a' + i)), c.Answer, c.Because, c.Right})
	}
	step.Reasons = step.Choices
	return step
}

// figure is the plots that the lesson asks for over a part of its run. What is
// wrong with the truck is shown in the key only.
func (h *Handout) figure(play *scenarios.LessonPlay, s *Series, charts []scenarios.ChartWord, key bool) string {
	r := h.run(play, s)
	f := newFigure(r.duration(), s.step)
	h.stepMarks(f, play, r)
	bay := r.bay(h.lesson.Bay)
	if key {
		r.markFaults(f, bay)
	}
	r.markEveryAlarm(f, bay)
	presses := r.pressMarks(bay)
	f.presses(presses)
	for i := range presses {
		f.lines = append(f.lines, mark{from: presses[i].from, class: "at-press"})
	}
	for _, chart := range charts {
		h.chart(f, r, bay, string(chart))
	}
	for i := range r.truck().Bays {
		if i != bay && s.moved(i) {
			f.add(s.env, &panel{
				title: "Height of " + r.bayName(i) + ", m", factor: 1, height: 58, least: 0.5, zero: true,
				curves: []curve{{channel: s.channel(i, chHeight), class: "c1"}},
			})
		}
	}
	return f.done(fmt.Sprintf("%s, %s over %s", h.lesson.Title(), h.lesson.Bay, f.clock(r.duration())))
}

// run is the play as a run that can be drawn, with what was done and mended at its time.
func (h *Handout) run(play *scenarios.LessonPlay, s *Series) *Run {
	sc := h.lesson.Scenario()
	sc.Faults = slices.Clone(sc.Faults)
	for i := range play.Faults {
		f := &play.Faults[i]
		if f.On {
			item := *f.Item
			item.From = f.At
			sc.Faults = append(sc.Faults, item)
			continue
		}
		for k := range sc.Faults {
			if g := &sc.Faults[k]; g.Kind.Name == f.Item.Kind.Name && g.Place == f.Item.Place && g.Until == 0 {
				g.Until = f.At
			}
		}
	}
	setup := *s.setup
	setup.Actions = play.Actions
	shown := *s
	shown.setup = &setup
	result := &scenarios.Result{Scenario: h.lesson.Title(), Truck: h.lesson.Truck.Name}
	for _, a := range play.Alarms {
		if a.At <= float64(s.end)*s.step {
			result.Alarms = append(result.Alarms, a)
		}
	}
	return &Run{Scenario: sc, Result: result, Series: &shown}
}

// stepMarks puts the numbers of the steps on a figure, where they begin.
func (h *Handout) stepMarks(f *figure, play *scenarios.LessonPlay, r *Run) {
	var marks []mark
	seen := map[int]bool{}
	for _, m := range play.Phases {
		if seen[m.Step] || m.At > r.duration() {
			continue
		}
		seen[m.Step] = true
		text := strconv.Itoa(m.Step + 1)
		if m.Step == len(h.lesson.Steps) {
			text = "check"
		}
		marks = append(marks, mark{from: m.At, to: m.At, class: "ask", text: text, title: "step " + text + " from " + f.clock(m.At)})
	}
	f.labels("steps", marks)
}

// chart adds one of the charts that a lesson can ask for.
func (h *Handout) chart(f *figure, r *Run, bay int, word string) {
	s := r.Series
	one := func(title string, c int, factor, least, height float64, levels ...level) {
		f.add(s.env, &panel{title: title, factor: factor, height: height, least: least, zero: word != "supply", curves: []curve{{channel: s.channel(bay, c), class: "c1"}}, levels: levels})
	}
	name := r.bayName(bay)
	switch word {
	case "height":
		f.add(s.env, &panel{
			title: "Height of the bottom edge of " + name + ", m", factor: 1, height: 132, least: 0.5, zero: true,
			curves: []curve{{s.channel(bay, chHeight), "true", "c1"}, {s.channel(bay, chCounted), "counted", "c2"}},
			levels: []level{{r.truck().Bays[bay].Track.Opening, "open", "dim"}},
		})
	case "speed":
		one("Speed of "+name+", m/s (up positive)", chSpeed, 1, 0.1, 62)
	case "current":
		one("Motor current of "+name+", A (winding up positive)", chCurrent, 1, 1, 70)
	case "supply":
		one("Supply at the controller of "+name+", V", chSupply, 1, 1, 70, level{10.9, "start limit", "dim"}, level{sim.DefaultRatings().BrownOut, "brown-out", "bad"})
	case "tension":
		one("Cable tension of "+name+", N (both cables)", chCable, 1, 50, 62)
	case "slack":
		one("Slack cable of "+name+", mm", chSlack, 1000, 10, 62, level{150, "limit", "bad"})
	case "force":
		one("Force on an object under "+name+", N", chContact, 1, 50, 62, level{400, "400 N", "bad"})
	case "state":
		f.y += 4
		f.band("state", s.bays[bay].state.Finish(s.end), stateClass)
		f.band("drive", s.bays[bay].drive.Finish(s.end), func(_ int, s *Span) string { return "drive-" + s.Word })
	case "lock":
		r.lockRows(f, int(r.truck().Bays[bay].Side))
	}
}

// markEveryAlarm puts the alarms of all sounders on a figure; those of other bays
// than the one looked at, and of the locks, say where.
func (r *Run) markEveryAlarm(f *figure, bay int) {
	var marks []mark
	for i := range r.Result.Alarms {
		h := &r.Result.Alarms[i]
		text := pulses(h) + " " + alarmName(h)
		switch {
		case h.Bay == "":
			text += ", locks"
		case h.Bay != r.bayName(bay):
			text += ", " + h.Bay
		}
		marks = append(marks, mark{from: h.At, to: h.At, class: "alarm", text: text, title: "alarm from " + f.clock(h.At)})
		f.lines = append(f.lines, mark{from: h.At, class: "at-alarm"})
	}
	f.labels("alarms", marks)
}

// paragraphList parts a text into its paragraphs.
func paragraphList(text string) []string {
	return strings.Split(scenarios.Paragraphs(text), "\n\n")
}
